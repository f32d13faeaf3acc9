"""The stages of one job, ready to work on records: built once in each process.

In: records. Out: fitted records, or records held with their reasons; dressed items.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from vardata.dress.art import load_art, picture_parts
from vardata.dress.background import Ground, load_ground
from vardata.dress.drawing import Drawing
from vardata.dress.dresser import Dresser
from vardata.dress.framing import framing
from vardata.dress.outline import item_outline
from vardata.fit.field import Fitter
from vardata.fit.fontbook import FontBook
from vardata.fit.groupsize import GroupSizes
from vardata.fit.result import FieldFit, PictureFit, TextFit
from vardata.impose.facing import from_behind, mirror_width
from vardata.impose.slots import placement, quarter_turns, usable_slots
from vardata.intake.record import Record
from vardata.job.model import Art, Blank, PictureField, Setup
from vardata.job.profile import description
from vardata.job.surfaces import face_down, mirrored_plates
from vardata.marks import Item, Placement, Statics
from vardata.memo import Memo
from vardata.output.pdf.bedload import PageContent
from vardata.output.pdf.look import LookForms
from vardata.output.pdf.standard import Standard
from vardata.output.pdf.view import View
from vardata.output.picklist_values import Look
from vardata.problems import Problem, Where
from vardata.resolve.groups import first_field
from vardata.work.fitted import Fitted, HeldRecord
from vardata.work.pictures import CoarsePicture, PictureStore
from vardata.work.preparing import Preparing, Strings
from vardata.work.remarks import Remark, Remarks


class Stages:
    """The stages of one job, ready to work on records; built once a process."""

    def __init__(
        self, setup: Setup, names: tuple[str, ...], product: int = 0, before: int = 0,
        memo: Memo | None = None,
    ) -> None:  # fmt: skip
        """``before``: how many fields of the product's side A come before its own; ``memo`` is
        shared by the workers of a run."""
        self.before = before
        self._memo = memo
        self.setup = setup
        self.slots = usable_slots(setup.jig)
        self.placements = tuple(placement(slot) for slot in self.slots)
        width = mirror_width(setup.bed, setup.mode)
        self.behind = tuple(from_behind(place, width) for place in self.placements)
        mirrored = mirrored_plates(setup.layout)
        self._face_down = face_down(setup.layout)
        self.both = bool(mirrored) and not self._face_down
        self._mirrored = mirrored
        self.book = FontBook(setup.fonts, setup.members, setup.axes)
        self._fitter = Fitter(setup, self.book, self._turns)
        self._preparing = Preparing(setup, names, first_field(product) + before, self._fitter)
        self._pictured = tuple(
            (n, field)
            for n, field in enumerate(setup.layout.fields)
            if isinstance(field, PictureField)
        )
        self.pictured, self.recases = bool(self._pictured), self._preparing.recases

    def _turns(self, rotation: float) -> frozenset[int]:
        return quarter_turns(self.slots, rotation) or frozenset({0})

    @cached_property
    def art(self) -> tuple[tuple[Art, Drawing], ...]:
        return load_art(self.setup)

    @cached_property
    def ground(self) -> Ground:
        """What is printed on the bed itself."""
        return load_ground(self.setup)

    @cached_property
    def dresser(self) -> Dresser:
        return Dresser(self.setup, self.book, self.art, self._memo)

    @cached_property
    def _remarks(self) -> Remarks:
        return Remarks(self.setup, self.book, self.dresser.pairs)

    @cached_property
    def statics(self) -> Statics:
        statics = self.dresser.statics()
        return Statics(statics.refs | self.ground.statics) if self.ground.statics else statics

    @cached_property
    def standard(self) -> Standard | None:
        """The printing standard that bed files keep, if any."""
        output, path = self.setup.job.output, self.setup.profile
        if output.standard == "plain" or path is None:
            return None
        profile = path.read_bytes()
        condition = output.condition or description(profile) or path.stem
        return Standard(output.standard, profile, condition)

    @cached_property
    def pictures(self) -> PictureStore:
        of_art = (part.picture for _, drawing in self.art for part in picture_parts(drawing))
        on_bed = (part.picture for part in self.ground.pictures)
        return PictureStore.of(self.setup, (*of_art, *on_bed))

    @cached_property
    def _substrates(self) -> dict[str, str]:
        blanks = self.setup.job.blanks.items()
        return {"": Blank().substrate} | {key: blank.substrate for key, blank in blanks}

    @cached_property
    def _view(self) -> View:
        return View(with_gloss_sheen=self.dresser.gloss_alone)

    def looks(self, beds: Sequence[tuple[Sequence[Fitted], PageContent]]) -> list[Look]:
        """Pictures of beds as seen; they share fonts and art, so they belong to one paper."""
        colours = {
            record.key: self._substrates[record.blank] for records, _ in beds for record in records
        }
        forms = LookForms(
            bed=self.setup.bed, layout=self.setup.layout, statics=self.statics, book=self.book,
            pictures=self.pictures.small_by_key, substrate=lambda item: colours[item.record],
            outline=item_outline(self.setup.layout),
            view=self._view,
        )
        added = [forms.add(self.seen(content)) for _, content in beds]
        return [Look(form, forms.bbox, forms.objects) for form in added]

    def substrate(self, blank: str) -> str:
        """The colour of a blank, for pictures."""
        return self._substrates[blank]

    def own(self, fitted: Fitted) -> Fitted:
        """A record as this side has it: without the fits of the other, if pieces have two."""
        if not self.setup.side:
            return fitted
        end = self.before + len(self.setup.layout.fields)
        return fitted._replace(fits=fitted.fits[self.before : end])

    def groups(self, record: Record) -> dict[int, str]:
        """The groups that the record's texts share a size with; none if they cannot be told."""
        return self._preparing.groups(record)

    def prepare(
        self, records: Sequence[Record], sizes: GroupSizes | None = None
    ) -> list[Fitted | HeldRecord]:
        """Resolve, fit and the checks of dress that need no slot; with ``sizes`` of groups."""
        check, find = self.dresser.check, self.pictures.find

        def judge(blank: str, strings: Strings, fits: tuple[FieldFit, ...]) -> Problem | None:
            problem = self._picture_fault(strings, fits) if self._pictured else None
            return problem or check(blank, fits, find)

        return self._preparing.prepare(records, sizes or {}, judge)

    def recased(self, fitted: Fitted) -> list[str]:
        """The field of each text of a record whose case was changed."""
        if not self.recases:
            return []
        named = zip(self.setup.layout.fields, fitted.fits)
        return [f.name for f, fit in named if isinstance(fit, TextFit) and fit.written]

    def remark(self, row: int, fitted: Fitted) -> None:
        """Counts what there is to say of the texts of a record that is printed."""
        self._remarks.add(row, fitted.fits)

    def take_remarks(self) -> list[Remark]:
        """What was counted since the last call."""
        return self._remarks.take()

    def take_coarse(self) -> tuple[CoarsePicture, ...]:
        """Pictures of records whose pixels show, since the last call."""
        return self.pictures.take_coarse() if self._pictured else ()

    def _picture_fault(
        self, strings: Sequence[str | None], fits: Sequence[FieldFit]
    ) -> Problem | None:
        """The first picture that was found but cannot be printed."""
        for index, field in self._pictured:
            name, fit = strings[index], fits[index]
            if not isinstance(fit, PictureFit):
                continue
            wanted = framing(field, self.setup.mode)
            problem = self.pictures.fault(fit.path, wanted, field.name, name or "")
            if problem is not None:
                return problem._replace(where=Where(field=field.name))
        return None

    @property
    def printed_at(self) -> tuple[Placement, ...]:
        """The places that items are dressed for: from behind where they lie on their face."""
        return self.behind if self._face_down else self.placements

    def dress(self, fitted: Fitted, slot_index: int) -> Item:
        item = self.dresser.dress(
            fitted.key, fitted.blank, fitted.fits, self.printed_at[slot_index], self.pictures.find
        )
        return self._only(item, mirrored=False) if self.both else item

    def _dressed(self, records: Sequence[Fitted]) -> tuple[Item, ...]:
        """The items of a bed load, in slot order."""
        if self.both:
            return tuple(self.dress(record, slot) for slot, record in enumerate(records))
        dress, find = self.dresser.dress, self.pictures.find
        return tuple([
            dress(key, blank, fits, at, find)
            for (key, _, blank, fits), at in zip(records, self.printed_at)
        ])

    def dress_behind(self, fitted: Fitted, slot_index: int) -> Item:
        """The mirrored plates of an item that has others too."""
        item = self.dresser.dress(
            fitted.key, fitted.blank, fitted.fits, self.behind[slot_index], self.pictures.find
        )
        return self._only(item, mirrored=True)

    def _only(self, item: Item, *, mirrored: bool) -> Item:
        marks = (m for m in item.spread() if (m.plate in self._mirrored) == mirrored)
        return item._replace(marks=tuple(marks))

    def content(self, records: Sequence[Fitted], title: str) -> PageContent:
        """One bed load, dressed."""
        items = self._dressed(records)
        behind: tuple[tuple[Placement, Item], ...] = ()
        if self.both:
            others = (self.dress_behind(record, slot) for slot, record in enumerate(records))
            behind = tuple(zip(self.behind, others))
        ground = (self.ground.below, self.ground.above)
        return PageContent(tuple(zip(self.printed_at, items)), title, behind, ground)

    def seen(self, content: PageContent) -> PageContent:
        """A bed load with every item as seen, in its own slot: for pictures."""
        if not self._face_down:
            return content
        items = (item for _, item in content.placements)
        return content.at(tuple(zip(self.placements, items)), turned=True)
