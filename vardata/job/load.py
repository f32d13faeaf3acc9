"""The door of a job: TOML files in, one checked ``Setup`` out, or every fault at once.

In: the job file and, if it was given on the command line, the order sheet. Out: ``Setup``.
Names in a file are relative to that file and must stay in the job's folder, unless the job
says ``outside = true``. Nothing of the order sheet itself is read here.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from vardata.job import shipped
from vardata.job.artfiles import art_file, tile_file
from vardata.job.checks import check, check_job
from vardata.job.claims import believed
from vardata.job.dots import in_mm
from vardata.job.elements import draw_elements
from vardata.job.fonts import find_font, font_chain, named_fonts
from vardata.job.found import clipped
from vardata.job.keys import mend_keys, other_kind
from vardata.job.lines import KeyPath
from vardata.job.mixed import Known, spread, views_of
from vardata.job.model import Bed, Jig, Job, Layout, Model, Setup
from vardata.job.near import choose
from vardata.job.paths import FROM_HERE, PathFault, find_file, is_there, place
from vardata.job.profile import find_profile
from vardata.job.query import query_rows
from vardata.job.setups import OtherSide, called, fonts_of, with_side_b
from vardata.job.siderules import side_claims
from vardata.job.systemfonts import FontFile
from vardata.job.toml import Source, read_toml
from vardata.job.wording import judge
from vardata.problems import JobError, Problem, Severity, SheetError, Where

__all__ = ["MODELS", "font_chain", "load_setup"]

M = TypeVar("M", bound=Model)

MODELS: dict[str, type[Model]] = {"job": Job, "layout": Layout, "jig": Jig, "bed": Bed}
_SHEETS = (".csv", ".tsv", ".xlsx", ".xlsm", ".xls", ".ods")


def load_setup(job_file: Path, sheet_file: Path | None = None) -> Setup:
    """Read and check a job with all files it names.

    ``sheet_file``, relative to the current folder, takes the place of the job's own and may
    lie anywhere. Raises ``JobError`` with every fault, in the order of files and lines;
    ``SheetError`` where nothing is wrong but that there is no order sheet.
    """
    loading = _Loading(job_file)
    setup = loading.setup(sheet_file)
    if loading.problems or setup is None:
        faults = loading.sorted_problems()
        raise (SheetError if loading.lacks_only_the_sheet() else JobError)(faults)
    sheet = setup.job.sheet
    if sheet_file is None and sheet.database is not None and sheet.query is not None:
        rows = query_rows(sheet.database, sheet.query, setup.job_file.parent, str(job_file))
        return setup.model_copy(update={"sheet_file": rows})
    return setup


class _Common(NamedTuple):
    """What all products of a job share."""

    sheet: Path | None
    lists: dict[str, Path]
    photos: dict[str, Path]
    profile: Path | None


class _Loading:
    """One reading of a job: collects problems on the way."""

    def __init__(self, job_file: Path) -> None:
        self.job_file = job_file
        self.base = job_file.absolute().parent
        self.inside: Path | None = self.base
        self.problems: list[Problem] = []
        self.no_sheet: list[Problem] = []  # those of an order sheet that is not there
        self.order: list[str] = [str(job_file)]  # files as they were come across

    def setup(self, sheet_file: Path | None) -> Setup | None:
        if self._called(self.job_file, "job file") is None:
            return None
        job_source = self._source(self.job_file.absolute(), str(self.job_file))
        if job_source is None:
            return None
        spread(job_source)
        job = self._model(job_source, Job, "job")
        data = job_source.data
        if data.get("outside") is True or job_source.doubts("outside"):
            self.inside = None
        sheet = self._sheet(job_source, data.get("sheet"), sheet_file)
        self._ledger(job_source, data.get("ledger"))
        lists = self._files_of(job_source, "serials", "list")
        photos = self._files_of(job_source, "blanks", "photo")
        profile = self._profile(job_source, data.get("output"))
        self.problems += check_job(job)
        views = views_of(job, job_source)
        common = _Common(sheet, lists, photos, profile)
        parts = [self._part(known, view, common) for _, known, view in views]
        found = [part for part in parts if part is not None]
        if self.problems or len(found) < len(parts):
            return None
        if not views[0][0]:
            return found[0]
        named = tuple(called(part, name) for (name, _, _), part in zip(views, found))
        assert job is not None
        return named[0].model_copy(update={"products": named, "job": job.model})

    def _part(
        self, job: Known[Job] | None, source: Source, common: _Common
    ) -> Setup | None:
        """What one product is made from; a job without products is one part."""
        data = source.data
        layout, layout_file = self._layout(source, data.get("layout"))
        jig, jig_file = self._file(source, "jig", data.get("jig"), Jig)
        bed, _ = self._file(source, "bed", data.get("bed"), Bed)
        files: dict[str, Path] = {}
        fonts: dict[str, FontFile] = {}
        if layout is not None and layout_file is not None:
            files, fonts = self._statics(layout, layout_file)
        if jig is not None and jig_file is not None:
            files |= self._backgrounds(jig, jig_file.parent)
        self.problems += check(job, layout, jig, bed)
        side_b = self._side_b(job, source, layout, jig, bed)
        if self.problems or not (job and layout and jig and bed and common.sheet and layout_file):
            return None
        mode = bed.model.modes[job.model.print_mode]
        setup = Setup(
            job=job.model, layout=in_mm(layout.model, mode), jig=jig.model, bed=bed.model,
            mode=mode, sheet_file=common.sheet,
            job_file=self.job_file.absolute(), layout_file=layout_file, files=files,
            lists=common.lists, photos=common.photos, profile=common.profile, **fonts_of(fonts),
        )  # fmt: skip
        return setup if side_b is None else with_side_b(setup, side_b)

    def _side_b(
        self, job: Known[Job] | None, source: Source, layout: Known[Layout] | None,
        jig: Known[Jig] | None, bed: Known[Bed] | None,
    ) -> OtherSide | None:
        """What side B has of its own, where pieces have two sides."""
        side = None if job is None else job.model.side_b
        if job is None or side is None:
            return None
        back, layout_file = self._layout(source, side.layout, ("side_b", "layout"))
        own, own_file = None, None
        if side.jig is not None:
            own, own_file = self._file(source, "jig", side.jig, Jig, ("side_b", "jig"))
        if back is None or layout_file is None:
            return None
        files, fonts = self._statics(back, layout_file)
        if own is not None and own_file is not None:
            files |= self._backgrounds(own, own_file.parent)
        self.problems += check(job, back, own or jig, bed)
        if layout is None or jig is None or (side.jig is not None and own is None):
            return None
        theirs = own.model if own is not None else None
        self.problems += believed(side_claims(job, side, (layout, back), jig.model, theirs))
        named = {"layout_file": layout_file, "files": files, **fonts_of(fonts)}
        return OtherSide(theirs, back.model, named)

    # ------------------------------------------------------------ TOML files

    def _source(self, path: Path, shown: str) -> Source | None:
        if shown not in self.order:
            self.order.append(shown)
        source = read_toml(path, shown)
        if isinstance(source, Problem):
            self.problems.append(source)
            return None
        return source

    def _model(
        self, source: Source, model: type[M], kind: str, job: Source | None = None,
        key: KeyPath = (),
    ) -> Known[M] | None:
        """The checked model of a file; ``job`` is the file that names it under ``key``."""
        other = other_kind(source.data, model, {k: m for k, m in MODELS.items() if k != kind})
        if other:
            what = f"{source.shown!r} is a {other} file"
            where = job.where(key or (kind,)) if job else Where(file=source.shown)
            remedy = f"name a {kind} file here" if job else "name the job file"
            self.problems.append(Problem("wrong-file", Severity.ERROR, what, remedy, where))
            return None
        self.problems += mend_keys(source, model)
        if model is Layout:
            base = Path(source.shown).absolute().parent  # where its name stands, before links
            self.problems += draw_elements(source, base, self._inside(base))
        judged, problems = judge(source, model)
        self.problems += problems
        return None if judged is None else Known(judged, source)

    def _file(
        self, job: Source, kind: str, written: Any, model: type[M], key: KeyPath = ()
    ) -> tuple[Known[M] | None, Path | None]:
        """The file that the job names under ``key``, by default its ``kind``."""
        if not isinstance(written, str):
            return None, None  # missing or of the wrong type: reported with the job
        try:
            path = find_file(written, self.base, self.inside)
        except PathFault as fault:
            self._fault(job, key or (kind,), fault, written)
            return None, None
        source = self._source(path, str(self.job_file.parent / written))
        return (None if source is None else self._model(source, model, kind, job, key)), path

    def _layout(
        self, job: Source, written: Any, key: KeyPath = ("layout",)
    ) -> tuple[Known[Layout] | None, Path | None]:
        """A layout file, or a shipped layout by its bare name."""
        bare = isinstance(written, str) and not ({"/", "\\"} & set(written) or "." in written)
        if not bare:
            known, path = self._file(job, "layout", written, Layout, key)
            # Art is relative to the place where the layout's name stands, before links.
            return known, path and (self.base / str(written)).absolute()
        layouts = shipped.layouts()
        if written not in layouts:
            remedy = choose(written, layouts, "no layouts are shipped")
            remedy = remedy.replace("allowed:", "shipped:")
            if is_there(self.base / f"{written}.toml"):
                remedy = f"the file beside the job is called {written + '.toml'!r}"
            fault = PathFault("unknown-layout", f"unknown layout {clipped(written)}", remedy)
            self._fault(job, key, fault, written)
            return None, None
        path = layouts[written]
        source = self._source(path, str(path))
        return (None if source is None else self._model(source, Layout, "layout")), path

    # ------------------------------------------------------------ other files

    def _called(self, given: Path, kind: str) -> Path | None:
        """A file that was named in the call of the command; ``kind`` is what it should be."""
        shown = clipped(str(given))
        try:
            if kind == "job file" and given.suffix.lower() in _SHEETS:
                raise PathFault("wrong-file", f"an order sheet is no {kind}", "name the job file; "
                                "the order sheet is named in it, or with --sheet")  # fmt: skip
            return find_file(str(given), Path.cwd(), None)
        except PathFault as fault:
            what = fault.what.replace(f"there is no file {shown}", f"there is no such {kind}")
            what = what.replace(f"{shown} is a folder, not a file", "it is a folder, not a file")
            here = fault.remedy == FROM_HERE
            remedy = "check the name and the folder you are in" if here else fault.remedy
            where = Where(file=str(given))
            self.problems.append(Problem(fault.kind, Severity.ERROR, what, remedy, where))
            return None

    def _sheet(self, job: Source, table: Any, given: Path | None) -> Path | None:
        if given is not None:
            before = len(self.problems)
            found = self._called(given, "order sheet")
            self.no_sheet += self.problems[before:]
            return found
        written = table.get("file") if isinstance(table, dict) else None
        if isinstance(table, dict) and isinstance(table.get("database"), str) and not written:
            return self.job_file  # until its rows are asked for, when all else is good
        if not isinstance(written, str):
            return None
        try:
            return find_file(written, self.base, self.inside)
        except PathFault as fault:
            self._fault(job, ("sheet", "file"), fault, written)
            if fault.kind == "no-file":
                self.no_sheet.append(self.problems[-1])
            return None

    def _ledger(self, job: Source, written: Any) -> None:
        """The ledger need not be there yet, but it must not lie just anywhere."""
        if isinstance(written, str):
            try:
                path = place(written, self.base, self.inside)
                if path.is_dir():
                    what = f"{clipped(written)} is a folder, not a file"
                    raise PathFault("no-file", what, "name a file for the ledger")
                if not path.parent.is_dir():
                    what = f"there is no folder for the ledger {clipped(written)}"
                    raise PathFault("no-file", what, "make the folder, or name a file in another")
            except PathFault as fault:
                self._fault(job, ("ledger",), fault, written)

    def _profile(self, job: Source, table: Any) -> Path | None:
        """The ICC profile of the machine's process inks."""
        written = table.get("profile") if isinstance(table, dict) else None
        if not isinstance(written, str):
            return None
        try:
            return find_profile(written, self.base, self.inside)
        except PathFault as fault:
            self._fault(job, ("output", "profile"), fault, written)
            return None

    def _files_of(self, job: Source, tables: str, key: str) -> dict[str, Path]:
        """The files that a key of the job's tables names, by the name of the table: lists of
        serials, photos of blanks."""
        found: dict[str, Path] = {}
        data = job.data.get(tables)
        for name, table in data.items() if isinstance(data, dict) else ():
            written = table.get(key) if isinstance(table, dict) else None
            if isinstance(written, str):
                try:
                    found[name] = find_file(written, self.base, self.inside)
                except PathFault as fault:
                    self._fault(job, (tables, name, key), fault, written)
        return found

    def _statics(
        self, layout: Known[Layout], layout_file: Path
    ) -> tuple[dict[str, Path], dict[str, FontFile]]:
        """Art and fonts of the layout, by the names they are written with."""
        base = layout_file.parent
        inside = self._inside(base)
        files: dict[str, Path] = {}
        fonts: dict[str, FontFile] = {}
        for index, art in enumerate(layout.model.art):
            try:
                files[art.file] = art_file(art.file, base, inside)
            except PathFault as fault:
                self._fault(layout.source, ("art", index, "file"), fault, art.file)
        for index, plate in enumerate(layout.model.plates):
            if plate.pattern is not None:
                try:
                    files[plate.pattern] = tile_file(plate.pattern, base, inside)
                except PathFault as fault:
                    key: KeyPath = ("plates", index, "pattern")
                    self._fault(layout.source, key, fault, plate.pattern)
        for name, path in named_fonts(layout.model).items():
            if layout.source.doubted & {("fonts",), ("fonts", name)}:
                continue  # a key of the layout's fonts that was wrong and is gone
            try:
                fonts[name] = find_font(name, layout.model, base, inside)
            except PathFault as fault:
                self._fault(layout.source, path, fault, name)
        return files, fonts

    def _backgrounds(self, jig: Known[Jig], base: Path) -> dict[str, Path]:
        """The files of what is printed on the bed itself."""
        files: dict[str, Path] = {}
        for index, entry in enumerate(jig.model.background):
            try:
                files[f"background {entry.file}"] = art_file(entry.file, base, self.inside)
            except PathFault as fault:
                self._fault(jig.source, ("background", index, "file"), fault, entry.file)
        return files

    def _inside(self, base: Path) -> Path | None:
        """The folder that files of a layout in ``base`` must lie in."""
        if self.inside is not None and base.is_relative_to(shipped.layouts_dir()):
            return shipped.layouts_dir()
        return self.inside

    # ------------------------------------------------------------ problems

    def _fault(self, source: Source, path: KeyPath, fault: PathFault, value: str) -> None:
        self.problems.append(source.problem(path, fault.kind, fault.what, fault.remedy, value))

    def lacks_only_the_sheet(self) -> bool:
        return bool(self.no_sheet) and set(self.problems) == set(self.no_sheet)

    def sorted_problems(self) -> list[Problem]:
        """By file in the order of reading, then by line; on one line as they were found."""
        rank = {file: index for index, file in enumerate(self.order)}
        return sorted(
            dict.fromkeys(self.problems),  # two products may share a file
            key=lambda problem: (rank.get(problem.where.file, len(rank)), problem.where.line),
        )
