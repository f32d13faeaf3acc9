"""What an SVG may hold and what is refused, by property and by element.

Opaque solid ink has no masks, no see-through paint and no blends: what asks for them is
refused by element and line, never dropped. The tables name every property of SVG 1.1,
SVG 2 and CSS that drawing programs write; a property in none of them is refused as well.
"""

from __future__ import annotations

from vardata.problems import JobError, Problem, Severity, Where
from vardata.svg.source import Element, described
from vardata.svg.values import amount, shown

SHOWN = 20  # problems listed for one file before the rest is counted

# Properties that are understood, and their initial values (SVG 1.1, appendix N; SVG 2).
INHERITED = {
    "clip-rule": "nonzero",
    "color": "black",
    "fill": "black",
    "fill-opacity": "1",
    "fill-rule": "nonzero",
    "marker-end": "none",
    "marker-mid": "none",
    "marker-start": "none",
    "paint-order": "normal",
    "stroke": "none",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-opacity": "1",
    "stroke-width": "1",
    "visibility": "visible",
}
OWN = {"clip-path": "none", "display": "inline", "opacity": "1", "overflow": "hidden"}

_PATHS = "turn it into plain filled shapes"
_SOLID = "use solid colours only, or save the art as PNG"
_ATTRIBUTE = "write it as an attribute of the element"
# name -> (values that change nothing, how to mend any other)
REFUSED = {
    "mask": ({"none"}, "cut the shape itself, or save the art as PNG"),
    "mask-image": ({"none"}, "cut the shape itself, or save the art as PNG"),
    "filter": ({"none"}, "remove the effect, or save the art as PNG"),
    "backdrop-filter": ({"none"}, "remove the effect, or save the art as PNG"),
    "mix-blend-mode": ({"normal"}, _SOLID),
    "background-blend-mode": ({"normal"}, _SOLID),
    "marker": ({"none"}, _PATHS),
    "vector-effect": ({"none"}, "give the stroke its real width"),
    "clip": ({"auto"}, "cut the shape itself"),
    "transform": ({"none"}, _ATTRIBUTE),
    "rotate": ({"none", "auto", "0"}, "write it into the transform attribute"),
    "scale": ({"none"}, "write it into the transform attribute"),
    "translate": ({"none"}, "write it into the transform attribute"),
    "zoom": ({"1", "normal", "100%"}, "write it into the transform attribute"),
    "offset-path": ({"none"}, "write it into the transform attribute"),
    "transform-origin": ({"0", "0 0", "0px 0px", "0px", "top left", "left top"},
                         "write the centre into the transform attribute"),
    "background": ({"none", "transparent", "0", "0 0"}, "draw the ground as a rectangle"),
    "background-color": ({"transparent", "none"}, "draw the ground as a rectangle"),
    "background-image": ({"none"}, "draw the ground as a rectangle"),
    "border": ({"none", "0"}, "draw the border as a rectangle"),
    "outline": ({"none", "0"}, "draw the border as a rectangle"),
    "animation": ({"none"}, "take it out of the drawing"),
    "all": (set(), "write the properties one by one"),
}  # fmt: skip
# Shape written as style (SVG 2): refused, because it would be read from the attributes.
GEOMETRY = frozenset({"cx", "cy", "d", "height", "r", "rx", "ry", "width", "x", "y"})

# Changes nothing here: text, what only filters, gradients, masks or windows use, and hints.
HARMLESS = frozenset(
    """
    alignment-baseline background-clip background-origin background-position
    background-repeat background-size baseline-shift block-progression box-sizing break-after
    color-adjust color-interpolation color-interpolation-filters color-profile color-rendering
    color-scheme cursor direction dominant-baseline enable-background fill-color flood-color
    flood-opacity font font-display font-family font-feature-settings font-kerning
    font-language-override font-optical-sizing font-palette font-size font-size-adjust
    font-smooth font-stretch font-style font-synthesis font-variant font-variant-alternates
    font-variant-caps font-variant-east-asian font-variant-emoji font-variant-ligatures
    font-variant-numeric font-variant-position font-variation-settings font-weight
    forced-color-adjust glyph-orientation-horizontal glyph-orientation-vertical hanging-punctuation
    height-adjust hyphens image-rendering inline-size isolation kerning letter-spacing
    lighting-color line-break line-height margin margin-bottom margin-left margin-right margin-top
    mask-type max-height max-width min-height min-width object-fit object-position overflow-wrap
    padding pointer-events position print-color-adjust shape-image-threshold shape-inside
    shape-margin shape-padding shape-rendering shape-subtract solid-color solid-opacity stop-color
    stop-opacity tab-size text-align text-align-all text-align-last text-anchor text-combine-upright
    text-decoration text-decoration-color text-decoration-line text-decoration-style
    text-decoration-thickness text-indent text-orientation text-overflow text-rendering
    text-shadow text-size-adjust text-transform text-underline-offset text-underline-position
    touch-action transform-box transition unicode-bidi user-select vertical-align white-space
    will-change word-break word-spacing word-wrap writing-mode z-index
    """.split()  # noqa: SIM905 - a list of ninety names is read more easily so
)
# What is looked for among attributes: presentation attributes and what is refused as one.
ATTRIBUTES = (
    frozenset(INHERITED) | frozenset(OWN) | frozenset(REFUSED) | {"stop-color", "stop-opacity"}
) - {"transform", "rotate", "scale"}

OUTLINES = "convert the text to outlines (paths) in the drawing program"
_PART = "take it out of the drawing"
REFUSED_ELEMENTS = {
    "flowRoot": ("text would need its font", OUTLINES),
    "foreignObject": ("it holds what is not SVG", "draw it with shapes"),
    "script": ("a program cannot be printed", _PART),
    "animate": ("it moves", _PART),
    "animateColor": ("it moves", _PART),
    "animateMotion": ("it moves", _PART),
    "animateTransform": ("it moves", _PART),
    "set": ("it moves", _PART),
    "video": ("it moves", _PART),
    "audio": ("it sounds", _PART),
    "iframe": ("it shows another file", _PART),
    "canvas": ("it is drawn by a program", _PART),
    "mesh": ("mesh gradients cannot be printed as solid ink", _SOLID),
}
# Never drawn where they stand; refused where something that is drawn uses them.
DEFINITIONS = frozenset(
    """
    clipPath color-profile cursor defs desc discard filter font font-face glyph hatch
    linearGradient marker mask meshgradient metadata pattern radialGradient solidColor style
    symbol title view
    """.split()  # noqa: SIM905
)


class Report:
    """Collects the problems of one SVG."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.problems: list[Problem] = []

    def add(
        self, element: Element, what: str, remedy: str, kind: str = "svg-unsupported", line: int = 0
    ) -> None:
        where = Where(self.name, line or element.sourceline or 0, described(element))
        problem = Problem(kind, Severity.ERROR, what, remedy, where)
        if problem not in self.problems:
            self.problems.append(problem)

    def fail(self) -> None:
        """Raise ``JobError`` if there is anything to tell; a long list is cut."""
        if not self.problems:
            return
        found = self.problems[:SHOWN]
        more = len(self.problems) - len(found)
        if more:
            what = f"{more} more things in the drawing cannot be printed"
            found.append(
                Problem(
                    "svg-unsupported",
                    Severity.ERROR,
                    what,
                    "mend the first ones and check again",
                    Where(self.name),
                )
            )
        raise JobError(found)


def check_look(element: Element, declared: dict[str, str], report: Report) -> None:
    """Report every declared property that would not be printed as it is written."""
    for name, value in declared.items():
        known = value.strip().lower()
        if name in HARMLESS or name.startswith("-"):
            continue
        if name in INHERITED or name in OWN:
            if "var(" in known:
                what = f"{name}: {shown(value)} uses a variable"
                report.add(element, what, "write the value itself")
        elif name in GEOMETRY:
            _check_geometry(element, name, known, report)
        elif name not in REFUSED:
            report.add(element, f"the property {name!r} is not known", _PART)
        elif name == "transform-origin" and not element.get("transform"):
            continue
        elif known not in REFUSED[name][0] | {"initial", "unset"}:
            report.add(element, f"{name}: {shown(value)} cannot be printed", REFUSED[name][1])


def _check_geometry(element: Element, name: str, value: str, report: Report) -> None:
    if element.getparent() is None and value in ("100%", "auto"):
        return  # how large a window shows the whole drawing is nothing to a printer
    if (element.get(name) or "").strip().lower() != value:
        report.add(element, f"{name} is written as a style", _ATTRIBUTE)


def refuse_element(element: Element, kind: str, declared: dict[str, str], report: Report) -> None:
    """Report one of ``REFUSED_ELEMENTS``, unless nothing of it would be seen."""
    hidden = declared.get("display", "").lower() == "none"
    empty = kind == "flowRoot" and not "".join(element.itertext()).strip()
    foreign = (element.get("requiredExtensions") or "").strip()
    if not (hidden or empty or foreign):
        report.add(element, *REFUSED_ELEMENTS[kind])


def wanted(element: Element, declared: dict[str, str], report: Report) -> bool:
    """Whether an element is drawn at all. What is half seen is reported."""
    if declared.get("display", "").lower() == "none":
        return False
    if (element.get("requiredExtensions") or "").strip():
        return False
    if element.get("systemLanguage") is not None:
        what = "it is drawn for readers of one language only"
        report.add(element, what, "remove systemLanguage")
    try:
        opacity = amount(declared.get("opacity", "1"))
    except ValueError as error:
        report.add(element, f"opacity: {error}", "set the opacity to 1")
        return True
    if 0 < opacity < 1:
        what = f"opacity {opacity:g} cannot be printed as one solid ink"
        report.add(element, what, "mix the colours by hand and set the opacity to 1")
    return opacity > 0
