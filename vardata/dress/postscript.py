"""EPS as art: turned into a page of a PDF by Ghostscript, where it is installed.

In: the bytes of an EPS file. Out: a PDF of one page, cropped to the EPS's own box. Ghostscript
runs without access to files, and is stopped after a minute.
"""

from __future__ import annotations

import shutil
import subprocess
import sys

from vardata.problems import JobError, Problem, Severity, Where

_SECONDS = 60
_NAMES = ("gswin64c", "gswin32c") if sys.platform == "win32" else ("gs",)


def page_of(data: bytes, where: Where) -> bytes:
    """The EPS as a PDF. Raises ``JobError`` (``eps-program``, ``eps-unreadable``)."""
    program = next((found for name in _NAMES if (found := shutil.which(name))), None)
    if program is None:
        what = "EPS needs the program Ghostscript, which is not installed"
        raise _refused("eps-program", what, "install it, or save the art as PDF", where)
    command = [
        program, "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-dEPSCrop", "-dCompatibilityLevel=1.6",
        "-sDEVICE=pdfwrite", "-dAutoRotatePages=/None", "-dPreserveOverprintSettings=true",
        "-dColorConversionStrategy=/LeaveColorUnchanged", "-sOutputFile=-", "-",
    ]  # fmt: skip
    try:
        done = subprocess.run(
            command, input=data, capture_output=True, check=False, timeout=_SECONDS
        )
    except (OSError, subprocess.TimeoutExpired):
        done = None
    at = done.stdout.find(b"%PDF-") if done is not None else -1
    if done is None or done.returncode or at < 0:
        what = "Ghostscript cannot read the EPS"
        raise _refused("eps-unreadable", what, "export it again, or save it as PDF", where)
    return done.stdout[at:]


def _refused(kind: str, what: str, remedy: str, where: Where) -> JobError:
    return JobError(Problem(kind, Severity.ERROR, what, remedy, where))
