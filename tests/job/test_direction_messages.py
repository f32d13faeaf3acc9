"""Every line a person reads when keys of a text that is set downwards do not go together."""

from __future__ import annotations

import pytest
from job_folder import JobFolder

AT = "tag.toml:{line}, fields[0].{key}, field 'owner': "
BENT = 'text on a line that bends takes no direction = "down"; take one of the two away'
NOT_SQUEEZED = (
    'letters that stand one under the other (direction = "down") are never squeezed; '
    "take squeeze away"
)
CASES = [
    ("arc = { radius = 9 }", "arc", BENT),
    ('along = "M 1 1 L 9 9"', "along", BENT),
    ("squeeze = 80", "squeeze", NOT_SQUEEZED),
    ('fit = ["shrink", "squeeze"]', "fit", NOT_SQUEEZED),
]


@pytest.mark.parametrize(("keys", "key", "what"), CASES)
def test_what_a_text_in_columns_cannot_be(
    job: JobFolder, keys: str, key: str, what: str
) -> None:
    job.change("tag.toml", ("lines = 2\n", f'direction = "down"\n{keys}\n'))
    assert job.faults() == [AT.format(line=37, key=key) + what]


def test_a_direction_that_is_not_known(job: JobFolder) -> None:
    job.change("tag.toml", ("lines = 2\n", 'direction = "dwon"\n'))
    assert job.faults() == [
        AT.format(line=36, key="direction")
        + "unknown value 'dwon'; did you mean 'down'? allowed: across, down"
    ]
