"""Templates over the columns: plain ones, real ones, and ones that must be refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from vardata.intake.record import Record
from vardata.job.model import (
    Bed,
    CodeField,
    Jig,
    Job,
    Layout,
    PictureField,
    PrintMode,
    Setup,
    Sheet,
    TextField,
)
from vardata.problems import JobError, Problem
from vardata.resolve.templates import Resolver, template_names


def setup(*templates: str, code: str = "") -> Setup:
    fields: list[object] = [
        TextField(type="text", name=f"f{i}", text=text, font="x", box=(0, 0, 9, 9), size="9pt")
        for i, text in enumerate(templates)
    ]
    if code:
        fields.append(CodeField(type="code", name="c", text=code, symbology="qr", box=(0, 0, 9, 9)))
    bed = Bed(name="b", width=100, height=50, modes={"m": PrintMode(dpi=(600, 600))})
    return Setup(
        job=Job(name="t", layout="l", jig="j", bed="b", print_mode="m", sheet=Sheet(file="s.csv")),
        layout=Layout(name="l", width=10, height=10, fields=fields),  # type: ignore[arg-type]
        jig=Jig(name="j"),
        bed=bed,
        mode=bed.modes["m"],
        sheet_file=Path("s.csv"),
        job_file=Path("job.toml"),
        layout_file=Path("medal.toml"),
    )


def resolve(template: str, **values: str) -> object:
    record = Record("s!7#2", 7, 2, "", "", tuple(values.values()))
    answer = Resolver(setup(template), tuple(values)).resolve(record)
    return answer if isinstance(answer, Problem) else answer[0]


@pytest.mark.parametrize(
    ("template", "expected"),
    [
        ("{{ name }}", "Ada"),
        ("{{name}} of {{ town }}", "Ada of Mill"),
        ("no column", "no column"),
        ("{{ name|upper }}", "ADA"),
        ("{% if town == 'Mill' %}home{% else %}away{% endif %}", "home"),
        ("{{ empty }} {{ name }}  {{ empty }}", "Ada"),
        ("{{ name }}\n{{ empty }} {{ town }}", "Ada\nMill"),
        ("{{ name }} {{ piece }}/{{ row_number }}", "Ada 2/7"),
        ("<{{ amp }}>", "<A&B>"),
    ],
)
def test_content(template: str, expected: str) -> None:
    assert resolve(template, name="Ada", town="Mill", empty="", amp="A&B") == expected


@pytest.mark.parametrize(
    ("file", "pic", "expected"),
    [
        ("pics/{{ pic }}", "a.png", "pics/a.png"),
        ("pics/{{ pic }}", "", ""),
        ("{{ pic }}", "", ""),
        ("{{ town }}/{{ pic }}.png", "", ""),
        ("{{ town }}/{{ pic }}.png", "a", "Mill/a.png"),
        ("pics/{{ pic|lower }}", "", ""),
        ("pics/{{ pic|lower }}", "A.PNG", "pics/a.png"),
        ("pics/{{ pic or 'none.png' }}", "", "pics/none.png"),
        ("{% if pic %}pics/{{ pic }}{% else %}none.png{% endif %}", "", "none.png"),
        ("same.png", "", "same.png"),
    ],
)
def test_an_optional_picture_has_no_name_where_a_value_in_it_is_empty(
    file: str, pic: str, expected: str
) -> None:
    def name(*, optional: bool) -> object:
        field = PictureField(
            type="picture", name="p", file=file, box=(0, 0, 9, 9), optional=optional
        )
        job = setup()
        job = job.model_copy(
            update={"layout": job.layout.model_copy(update={"fields": (field,)})}
        )
        record = Record("s!7#1", 7, 1, "", "", (pic, "Mill"))
        answer = Resolver(job, ("pic", "town")).resolve(record)
        return answer if isinstance(answer, Problem) else answer[0]

    assert name(optional=True) == expected
    if pic:
        assert name(optional=False) == expected


def test_a_code_keeps_every_space() -> None:
    job = setup(code="{{ a }}  {{ b }} ")
    record = Record("s!1#1", 1, 1, "", "", (" x", ""))
    assert Resolver(job, ("a", "b")).resolve(record) == [" x   "]


def test_names_are_found_and_codes_known() -> None:
    names = template_names(setup("{{ a }} {{ b|title }} {{ piece }}", code="{{ c }}{{ a }}"))
    assert names.needed == {"a", "b", "c"} and names.exact == {"a", "c"}
    assert names.texts == {"a", "b"}


PHRASES = {
    "Table {{ table }}": [("Table {{ table }}", ("table",), True)],
    "{{ a }} {{ b|title }}": [("{{ a }} {{ b }}", ("a", "b"), False)],
    "{{ a }}\nNo. {{ piece }}\nof {{ b }}": [("of {{ b }}", ("b",), True)],
    "{{ a }} {{ piece }}": [("{{ a }} {{ piece }}", ("a",), True)],
    "{{ a }}": [], "{{ a }}\n{{ b }}": [], "Table {{ a|default('7') }}": [], "words": [],
    "{% if a %}Table {{ a }}{% endif %}": [], "Table {{ a or b }}": [],
}


@pytest.mark.parametrize("template", PHRASES)
def test_the_phrases_that_an_empty_cell_leaves_half(template: str) -> None:
    found = [phrase[1:] for phrase in template_names(setup(template)).phrases]
    assert found == PHRASES[template]


def test_a_broken_template_names_its_key() -> None:
    with pytest.raises(JobError) as error:
        template_names(setup("fine", "{{ name "))
    assert str(error.value).startswith(
        "medal.toml, fields[1].text, field 'f1': the template '{{ name ' cannot be read: {{ is "
    )


@pytest.mark.parametrize(
    "template",
    ["{{ name * 9999999 }}", "{{ ().__class__ }}", "{{ 9 ** 99999 }}", "{{ name.x.y }}"],
)
def test_a_hostile_template_holds_the_record(template: str) -> None:
    answer = resolve(template, name="Ada")
    assert isinstance(answer, Problem)
    assert (answer.kind, answer.where.row, answer.where.field) == ("template", 7, "f0")


def test_endless_content_is_cut_off_and_held() -> None:
    answer = resolve("{% for i in range(99999) %}{{ name }}{% endfor %}", name="Ada")
    assert isinstance(answer, Problem) and "longer than 4000 characters" in answer.what


# ---------------------------------------------------------------- GS1 identifiers


@pytest.mark.parametrize(
    ("template", "expected"),
    [
        # Examples of GS1's tables and of EPC TDS, as in the tests of the functions themselves.
        ("{{ gs1.gtin(gtin) }}", "(01)09521234543213"),
        ("{{ gs1.sgtin(item, serial) }}", "(01)10614141123459(21)400"),
        ("(01){{ body }}{{ gs1.check_digit(body) }}", "(01)10614141123459"),
        ("{{ gs1.giai(prefix, 'ABC123') }}", "(8004)0614141ABC123"),
        ("{{ gs1.grai(prefix, '12345') }}", "(8003)00614141123452"),
        ("{{ gs1.grai(prefix, '12345', serial=serial) }}", "(8003)00614141123452400"),
        ("{{ gs1.sscc('1', prefix, '123456789') }}", "(00)106141411234567897"),
        ("{{ gs1.gtin(gtin) }}(10){{ serial }}", "(01)09521234543213(10)400"),
        ("{% if gs1 == 'x' %}a column{% endif %}", "a column"),
    ],
)
def test_gs1_identifiers_are_made_from_columns(template: str, expected: str) -> None:
    values = {
        "gtin": "9521234543213", "item": "10614141123459", "serial": "400", "prefix": "0614141",
        "body": "1061414112345", "gs1": "x",
    }  # fmt: skip
    assert resolve(template, **values) == expected


def test_names_handed_to_gs1_functions_are_columns() -> None:
    names = template_names(setup(code="{{ gs1.sgtin(gtin, serial) }}"))
    assert names.needed == {"gtin", "serial"} == names.exact
    assert template_names(setup("{{ gs1 }}")).needed == {"gs1"}


def test_wrong_gs1_data_holds_the_record_and_names_its_columns() -> None:
    answer = resolve("{{ gs1.sgtin(gtin, serial) }}", gtin="96385075", serial="1")
    assert str(answer) == (
        "row 7, column 'gtin, serial', field 'f0': the check digit of GTIN 96385075 is 5, but "
        "9638507 asks for 4; compare the number with its source; one digit is wrong or two are "
        "swapped"
    )
    answer = resolve("{{ gs1.giai(prefix, '') }}", prefix="06X")
    assert isinstance(answer, Problem)
    assert (answer.kind, answer.where.column) == ("code-content", "prefix")
    assert answer.what == "the company prefix is digits only, found '06X'"


def test_an_unknown_gs1_function_is_told_before_a_row_is_read() -> None:
    with pytest.raises(JobError) as error:
        template_names(setup("{{ gs1.sgtim(a, b) }}"))
    assert str(error.value) == (
        "medal.toml, fields[0].text, field 'f0': the template '{{ gs1.sgtim(a, b) }}' cannot be "
        "read: there is no gs1.sgtim; did you mean 'sgtin'? allowed: gtin, sgtin, giai, grai, "
        "sscc, check_digit"
    )
