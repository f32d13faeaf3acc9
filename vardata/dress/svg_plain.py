"""An SVG rewritten so plainly that no reader can get it wrong, or refused by element.

In: the root of a tree. Out: ``Plain``: a list of shapes with plain numbers and one matrix
each, under ids of ours, and what is known of each (``Leaf``) by its id. Styles, references,
units, conditions, viewports and clip paths are settled here; every fault is reported before
anything is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lxml import etree

from vardata.dress import svg_guard, svg_leaf, svg_look, svg_text
from vardata.dress.framing import WHOLE, Framing
from vardata.dress.svg_css import Looks
from vardata.dress.svg_guard import Report
from vardata.dress.svg_image import embedded
from vardata.dress.svg_leaf import Leaf, Plain
from vardata.dress.svg_look import Look
from vardata.dress.svg_paint import Paints
from vardata.svg import shape as svg_shape
from vardata.svg import source as svg_source
from vardata.svg import viewport as svg_viewport
from vardata.svg.shape import Figure, Size
from vardata.svg.source import Element, href, local
from vardata.svg.values import Matrix, shown, transform, view

MOST_STEPS = 50_000  # elements drawn, each use of an element counted
_OUT = "take it out of the drawing"


def plain(
    root: Element, name: str, guides: Iterable[str] = (), framing: Framing = WHOLE
) -> Plain:
    """Rewrite a drawing without the elements whose ids are ``guides``; a use of one is drawn.
    ``framing`` says what becomes of pictures within. Raises ``JobError`` with every fault."""
    report = Report(name)
    made = _Writer(root, report, frozenset(guides), framing).run()
    report.fail()
    return made


class _Place(NamedTuple):
    """Where in the tree the walk is: the look and the user space that children inherit."""

    look: Look
    size: Size  # of the nearest viewport, for percentages
    matrix: Matrix = Matrix()  # to the user space of the whole drawing
    clips: tuple[str, ...] = ()
    region: str = ""  # the clip region that shapes here belong to
    uses: tuple[Element, ...] = ()
    depth: int = 0


class _Writer:
    def __init__(
        self, root: Element, report: Report, guides: frozenset[str], framing: Framing
    ) -> None:
        self._root = root
        self._framing = framing
        self._report = report
        self._guides = guides
        self._looks = Looks(root, report)
        self._ids: dict[str, Element] = {}
        for element in root.iter():
            if element.get("id"):
                self._ids.setdefault(element.get("id"), element)
        self._paints = Paints(self._ids, self._looks)
        self._steps = 0
        out: Element = etree.Element(_svg("svg"), nsmap={None: svg_source.SVG})
        self._made = Plain(out, {}, (), 0.0, 0.0, ())

    def run(self) -> Plain:
        out, root = self._made.root, self._root
        try:
            size, seen = svg_viewport.page(root)
        except ValueError as error:
            self._report.add(root, str(error), 'write width, height and viewBox="0 0 w h"')
            return self._made
        for key, number in zip(("width", "height"), size):
            out.set(key, repr(number))
        view_box = (root.get("viewBox") or "").strip()
        if view_box:
            out.set("viewBox", " ".join(view_box.replace(",", " ").split()))
            aspect = (root.get("preserveAspectRatio") or "xMidYMid").removeprefix("defer ")
            out.set("preserveAspectRatio", aspect)
        if root.get("transform"):
            self._report.add(root, "the whole drawing has a transform", "put it on a group")
        self._element(root, _Place(dict(svg_guard.INHERITED), seen))
        return self._made._replace(width=size[0], height=size[1])

    # -------------------------------------------------- elements

    def _element(self, element: Element, place: _Place) -> None:
        kind = local(element)
        if not kind or kind in svg_guard.DEFINITIONS:
            return
        if element.get("id") in self._guides and element not in place.uses[-1:]:
            return
        if kind in svg_guard.REFUSED_ELEMENTS:
            svg_guard.refuse_element(element, kind, self._looks.of(element), self._report)
            return
        entered = self._entered(element, place)
        if entered is not None:
            self._content(element, kind, entered)

    def _entered(self, element: Element, place: _Place) -> _Place | None:
        """The place of an element's content, once its own look is settled; None: not drawn."""
        declared = self._looks.of(element)
        if not svg_guard.wanted(element, declared, self._report):
            return None
        self._steps += 1
        if self._steps > MOST_STEPS or place.depth > svg_source.MOST_DEPTH:
            what = f"the drawing has more than {MOST_STEPS:,} parts"
            if self._steps <= MOST_STEPS:
                what = f"elements are nested more than {svg_source.MOST_DEPTH} deep"
            self._report.add(self._root, what, "simplify it, or save it as PNG")
            return None
        svg_guard.check_look(element, declared, self._report)
        look = svg_look.inherited(place.look, declared, element, self._report)
        place = place._replace(look=look, depth=place.depth + 1)
        if element is not self._root:
            place = self._transformed(element, place)
        return self._clipped(element, declared.get("clip-path", "none"), place)

    def _content(self, element: Element, kind: str, place: _Place) -> None:
        for child in element:  # what changes a shape stands inside it
            if local(child) in svg_guard.REFUSED_ELEMENTS:
                look = self._looks.of(child)
                svg_guard.refuse_element(child, local(child), look, self._report)
        if kind in svg_shape.SHAPES:
            self._shape(element, place)
        elif kind == "text":
            self._text(element, place)
        elif place.region and kind != "use":
            self._report.add(element, "a clip path may hold shapes only", "ungroup what is in it")
        elif kind in ("g", "a") or element is self._root:
            self._children(element, place)
        elif kind == "svg":
            self._viewport(element, element, place)
        elif kind == "use":
            self._use(element, place)
        elif kind == "switch":
            self._switch(element, place)
        elif kind == "image":
            self._image(element, place)
        else:
            self._report.add(element, "the element is not known", _OUT)

    def _children(self, element: Element, place: _Place) -> None:
        for child in element:
            self._element(child, place)

    def _transformed(self, element: Element, place: _Place) -> _Place:
        text = (element.get("transform") or "").strip()
        if not text or text.lower() == "none":
            return place
        try:
            return place._replace(matrix=transform(text).then(place.matrix))
        except ValueError as error:
            self._report.add(element, f"transform: {error}", "mend the transform attribute")
            return place

    def _switch(self, element: Element, place: _Place) -> None:
        """SVG 1.1, 5.8.2: the first child whose conditions hold is drawn."""
        for child in element:
            if local(child) and not (child.get("requiredExtensions") or "").strip():
                self._element(child, place)
                return

    # -------------------------------------------------- shapes and pictures

    def _shape(self, element: Element, place: _Place) -> None:
        if not svg_look.visible(place.look):
            return
        try:
            figure = svg_shape.figure(element, place.size)
        except ValueError as error:
            self._report.add(element, str(error), "mend the shape, or draw it again", "svg-broken")
            return
        leaf: Leaf | None
        if place.region:
            leaf = svg_leaf.clipping(element, place.look, place.region, self._report)
        else:
            leaf = svg_leaf.painted(element, place.look, place.size, self._paints, self._report)
        if figure is not None and leaf is not None:
            self._draw(figure, leaf._replace(clips=place.clips), place)

    def _text(self, element: Element, place: _Place) -> None:
        """A text, as outlines in the ink of each stretch."""
        if not svg_look.visible(place.look) or not "".join(element.itertext()).strip():
            return
        try:
            made = list(svg_text.outlines(element, self._looks))
        except ValueError as error:
            remedy = svg_guard.OUTLINES
            if "would need the font" in str(error):
                remedy = f'set it in a font that ships, such as "Noto Sans", or {remedy}'
            self._report.add(element, str(error), remedy)
            return
        for lettered in made:
            self._stretch(lettered, element, place)

    def _stretch(self, lettered: svg_text.Lettered, text: Element, place: _Place) -> None:
        element, look = lettered.element, place.look
        within = [element]
        while within[-1] is not text:
            within.append(within[-1].getparent())
        for one in reversed(within[:-1]):
            declared = self._looks.of(one)
            svg_guard.check_look(one, declared, self._report)
            look = svg_look.inherited(look, declared, one, self._report)
        leaf: Leaf | None
        if place.region:
            leaf = svg_leaf.clipping(element, look, place.region, self._report)
        else:
            leaf = svg_leaf.painted(element, look, place.size, self._paints, self._report)
        if leaf is None:
            return
        inks = (leaf.fill, leaf.stroke.ink if leaf.stroke else None)
        if any(ink and ink.gradient and ink.gradient.boxed for ink in inks):
            what = "the gradient is scaled to the box of a text"
            self._report.add(element, what, 'write gradientUnits="userSpaceOnUse"')
            return
        self._draw(lettered.figure, leaf._replace(clips=place.clips, even_odd=False), place)

    def _image(self, element: Element, place: _Place) -> None:
        found = embedded(element, place.size, self._report, self._framing)
        if found is not None and svg_look.visible(place.look):
            self._made = self._made._replace(notes=self._made.notes + found.notes)
            leaf = svg_leaf.bare(element)._replace(clips=place.clips, picture=found.picture)
            self._draw(found.figure, leaf, place)

    def _draw(self, figure: Figure, leaf: Leaf, place: _Place) -> None:
        key = f"n{len(self._made.leaves)}"
        self._made.leaves[key] = leaf
        matrix = f"matrix({' '.join(map(repr, place.matrix))})"
        group = etree.SubElement(self._made.root, _svg("g"), {"transform": matrix})
        # Neutral paint: the ink is the leaf's business, geometry the reader's.
        neutral = {"id": key, "fill": "none", "stroke": "none"}
        etree.SubElement(group, _svg(figure.tag), figure.attributes | neutral)

    # -------------------------------------------------- references, viewports, clips

    def _use(self, element: Element, place: _Place) -> None:
        link = href(element)
        target = self._ids.get(link[1:]) if link.startswith("#") else None
        if target is None:
            what = "shows another file" if link and not link.startswith("#") else "shows nothing"
            self._report.add(element, f"it {what} ({shown(link)})", "put a copy into the drawing")
            return
        if target in place.uses:
            self._report.add(element, f"it shows itself ({shown(link)})", _OUT)
            return
        try:
            x, y = (svg_shape.value(element, name, place.size) for name in ("x", "y"))
        except ValueError as error:
            self._report.add(element, str(error), "mend it", "svg-broken")
            return
        matrix = Matrix(e=x, f=y).then(place.matrix)
        place = place._replace(matrix=matrix, uses=(*place.uses, target))
        if local(target) not in ("symbol", "svg"):
            self._element(target, place)
            return
        entered = self._entered(target, place)
        if entered is not None:
            self._viewport(target, element, entered)

    def _viewport(self, element: Element, sized: Element, place: _Place) -> None:
        """A symbol or an inner drawing in a viewport that cuts it; ``sized`` has its size."""
        inner = local(element) == "svg"
        try:
            x, y = (svg_shape.value(element, n, place.size) if inner else 0.0 for n in ("x", "y"))
            size = svg_viewport.sides(element, sized, place.size)
            if size[0] <= 0 or size[1] <= 0:
                return
            aspect = element.get("preserveAspectRatio") or ""
            seen = view(element.get("viewBox") or "", aspect, size)
        except ValueError as error:
            self._report.add(element, str(error), "mend its size and viewBox", "svg-broken")
            return
        place = place._replace(matrix=Matrix(e=x, f=y).then(place.matrix))
        if self._looks.of(element).get("overflow", "hidden").lower() not in ("visible", "auto"):
            region = self._region()
            frame = {"x": "0", "y": "0", "width": repr(size[0]), "height": repr(size[1])}
            leaf = svg_leaf.bare(element)._replace(region=region)
            self._draw(Figure("rect", frame), leaf, place)
            place = place._replace(clips=(*place.clips, region))
        matrix = seen.matrix.then(place.matrix)
        self._children(element, place._replace(matrix=matrix, size=(seen.width, seen.height)))

    def _region(self) -> str:
        region = f"r{len(self._made.regions)}"
        self._made = self._made._replace(regions=(*self._made.regions, region))
        return region

    def _clipped(self, element: Element, text: str, place: _Place) -> _Place:
        """The place with one more clip region, drawn in the element's own user space."""
        if text.strip().lower() in ("none", "initial", "unset"):
            return place
        link = text.replace('"', "").replace("'", "").replace(" ", "")
        target = self._ids.get(link[5:-1]) if link.startswith("url(#") else None
        what = ""
        if target is None or local(target) != "clipPath":
            what = f"clip-path {shown(text)} is no clip path of the drawing"
        elif (target.get("clipPathUnits") or "userSpaceOnUse").strip() != "userSpaceOnUse":
            what = f"the clip path {shown(link[4:-1])} is scaled to what it cuts"
        elif place.region or self._looks.of(target).get("clip-path", "none") != "none":
            what = f"clip-path {shown(text)} cuts a clip path"
        if what:
            self._report.add(element, what, "cut the shape itself")
            return place
        region = self._region()
        look = svg_look.inherited(
            dict(svg_guard.INHERITED), self._looks.of(target), target, self._report
        )
        inner = place._replace(look=look, region=region)
        self._children(target, self._transformed(target, inner))
        return place._replace(clips=(*place.clips, region))


def _svg(tag: str) -> str:
    return f"{{{svg_source.SVG}}}{tag}"
