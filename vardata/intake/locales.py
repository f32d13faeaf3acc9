"""How numbers and dates look in a locale: separators, date orders, names of months and days.

In: a locale id of a job ("de_DE", "de", "en-GB") or a Windows language id of a number format
("407"). Out: a ``Locale`` or the ``Names`` of a language. Only locales whose signs are known
here are offered; any other is refused, because a wrong separator prints a wrong number.

Sources: separators and date orders from the Unicode CLDR, and from memory of the settings
of Windows where both agree; names of months and days from the CLDR and as LibreOffice 7.4
shows them. Abbreviated names differ between spreadsheet programs, so ``numfmt`` says which
formats depend on such settings.
"""

from __future__ import annotations

import difflib
import re
from typing import NamedTuple


class Locale(NamedTuple):
    """``short``, ``long`` and ``time`` are format codes for what follows the computer."""

    id: str
    language: str
    decimal: str
    group: str
    short: str
    long: str
    time: str

    @property
    def hour(self) -> str:
        """The hour of the built-in time formats, h or hh, as LibreOffice 7.4 shows it."""
        return "h" if self.id in _SHORT_HOURS else "hh"

    @property
    def date_separator(self) -> str:
        """What stands between the parts of a short date."""
        return re.split("[dmy]+", self.short)[1]


class Names(NamedTuple):
    """``months_of`` are the names beside a day (genitive where the language has one)."""

    months: tuple[str, ...]
    months_of: tuple[str, ...]
    months_short: tuple[str, ...]
    days: tuple[str, ...]  # from Sunday
    days_short: tuple[str, ...]


_NBSP = "\u00a0"
_H24 = "hh:mm:ss"
_LONG_DOT = "dddd, d. mmmm yyyy"
_LONG_OF = 'dddd, d "de" mmmm "de" yyyy'
_ROWS = (
    # id, decimal, group, short date, long date, time
    ("en_US", ".", ",", "m/d/yyyy", "dddd, mmmm d, yyyy", "h:mm:ss AM/PM"),
    ("en_GB", ".", ",", "dd/mm/yyyy", "dddd, d mmmm yyyy", _H24),
    ("en_IE", ".", ",", "dd/mm/yyyy", "dddd d mmmm yyyy", _H24),
    ("en_AU", ".", ",", "d/mm/yyyy", "dddd, d mmmm yyyy", "h:mm:ss AM/PM"),
    ("en_NZ", ".", ",", "d/mm/yyyy", "dddd, d mmmm yyyy", "h:mm:ss AM/PM"),
    ("en_CA", ".", ",", "yyyy-mm-dd", "dddd, mmmm d, yyyy", "h:mm:ss AM/PM"),
    ("de_DE", ",", ".", "dd.mm.yyyy", _LONG_DOT, _H24),
    ("de_AT", ",", ".", "dd.mm.yyyy", _LONG_DOT, _H24),
    ("de_CH", ".", "\u2019", "dd.mm.yyyy", _LONG_DOT, _H24),
    ("fr_FR", ",", "\u202f", "dd/mm/yyyy", "dddd d mmmm yyyy", _H24),
    ("fr_CA", ",", _NBSP, "yyyy-mm-dd", "dddd d mmmm yyyy", _H24),
    ("es_ES", ",", ".", "dd/mm/yyyy", _LONG_OF, "h:mm:ss"),
    ("es_MX", ".", ",", "dd/mm/yyyy", _LONG_OF, _H24),
    ("it_IT", ",", ".", "dd/mm/yyyy", "dddd d mmmm yyyy", _H24),
    ("nl_NL", ",", ".", "d-m-yyyy", "dddd d mmmm yyyy", _H24),
    ("nl_BE", ",", ".", "d/mm/yyyy", "dddd d mmmm yyyy", _H24),
    ("pt_PT", ",", _NBSP, "dd/mm/yyyy", _LONG_OF, _H24),
    ("pt_BR", ",", ".", "dd/mm/yyyy", _LONG_OF, _H24),
    ("pl_PL", ",", _NBSP, "dd.mm.yyyy", "dddd, d mmmm yyyy", _H24),
    ("sv_SE", ",", _NBSP, "yyyy-mm-dd", "dddd d mmmm yyyy", _H24),
    ("da_DK", ",", ".", "dd-mm-yyyy", "dddd d. mmmm yyyy", _H24),
    ("nb_NO", ",", _NBSP, "dd.mm.yyyy", "dddd d. mmmm yyyy", _H24),
    ("fi_FI", ",", _NBSP, "d.m.yyyy", "dddd d. mmmm yyyy", "h:mm:ss"),
    ("cs_CZ", ",", _NBSP, "dd.mm.yyyy", "dddd d. mmmm yyyy", "h:mm:ss"),
    ("sk_SK", ",", _NBSP, "d. m. yyyy", "dddd d. mmmm yyyy", "h:mm:ss"),
    ("hu_HU", ",", _NBSP, "yyyy. mm. dd.", "yyyy. mmmm d., dddd", "h:mm:ss"),
    ("ro_RO", ",", ".", "dd.mm.yyyy", "dddd, d mmmm yyyy", _H24),
    ("ru_RU", ",", _NBSP, "dd.mm.yyyy", 'dddd, d mmmm yyyy "г."', "h:mm:ss"),
    ("uk_UA", ",", _NBSP, "dd.mm.yyyy", 'dddd, d mmmm yyyy "р."', _H24),
    ("el_GR", ",", ".", "d/m/yyyy", "dddd, d mmmm yyyy", _H24),
    ("tr_TR", ",", ".", "d.mm.yyyy", "d mmmm yyyy dddd", _H24),
)
_SHORT_HOURS = frozenset(
    [
        "en_US",
        "en_AU",
        "en_NZ",
        "en_CA",
        "es_ES",
        "it_IT",
        "nl_NL",
        "nl_BE",
        "pt_PT",
        "fi_FI",
        "cs_CZ",
        "sk_SK",
        "hu_HU",
        "ru_RU",
        "uk_UA",
        "el_GR",
    ]
)
LOCALES = {row[0]: Locale(row[0], row[0][:2], *row[1:]) for row in _ROWS}
# A language alone stands for the country that comes first above, but for Portuguese too.
_BY_LANGUAGE = {row[0][:2]: row[0] for row in reversed(_ROWS)} | {"no": "nb_NO"}

# The low ten bits of a Windows language id name the language ([MS-LCID], 2.2).
_PRIMARY = {
    0x05: "cs", 0x06: "da", 0x07: "de", 0x08: "el", 0x09: "en", 0x0A: "es", 0x0B: "fi",
    0x0C: "fr", 0x0E: "hu", 0x10: "it", 0x13: "nl", 0x14: "nb", 0x15: "pl", 0x16: "pt",
    0x18: "ro", 0x19: "ru", 0x1B: "sk", 0x1D: "sv", 0x1F: "tr", 0x22: "uk",
}  # fmt: skip

# months | months beside a day (empty: the same) | short months | days | short days
_NAMES = {
    "en": "January February March April May June July August September October November December"
    "||Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec"
    "|Sunday Monday Tuesday Wednesday Thursday Friday Saturday|Sun Mon Tue Wed Thu Fri Sat",
    "de": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember"
    "||Jan Feb Mär Apr Mai Jun Jul Aug Sep Okt Nov Dez"
    "|Sonntag Montag Dienstag Mittwoch Donnerstag Freitag Samstag|So Mo Di Mi Do Fr Sa",
    "fr": "janvier février mars avril mai juin juillet août septembre octobre novembre décembre"
    "||janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc."
    "|dimanche lundi mardi mercredi jeudi vendredi samedi|dim. lun. mar. mer. jeu. ven. sam.",
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"
    "||ene feb mar abr may jun jul ago sep oct nov dic"
    "|domingo lunes martes miércoles jueves viernes sábado|dom lun mar mié jue vie sáb",
    "it": "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre "
    "dicembre||gen feb mar apr mag giu lug ago set ott nov dic"
    "|domenica lunedì martedì mercoledì giovedì venerdì sabato|dom lun mar mer gio ven sab",
    "nl": "januari februari maart april mei juni juli augustus september oktober november december"
    "||jan feb mrt apr mei jun jul aug sep okt nov dec"
    "|zondag maandag dinsdag woensdag donderdag vrijdag zaterdag|zo ma di wo do vr za",
    "pt": "janeiro fevereiro março abril maio junho julho agosto setembro outubro novembro dezembro"
    "||jan fev mar abr mai jun jul ago set out nov dez"
    "|domingo segunda-feira terça-feira quarta-feira quinta-feira sexta-feira sábado"
    "|dom seg ter qua qui sex sáb",
    "pl": "styczeń luty marzec kwiecień maj czerwiec lipiec sierpień wrzesień październik listopad "
    "grudzień|stycznia lutego marca kwietnia maja czerwca lipca sierpnia września października "
    "listopada grudnia|sty lut mar kwi maj cze lip sie wrz paź lis gru"
    "|niedziela poniedziałek wtorek środa czwartek piątek sobota"
    "|niedz. pon. wt. śr. czw. pt. sob.",
    "sv": "januari februari mars april maj juni juli augusti september oktober november december"
    "||jan feb mar apr maj jun jul aug sep okt nov dec"
    "|söndag måndag tisdag onsdag torsdag fredag lördag|sö må ti on to fr lö",
    "da": "januar februar marts april maj juni juli august september oktober november december"
    "||jan feb mar apr maj jun jul aug sep okt nov dec"
    "|søndag mandag tirsdag onsdag torsdag fredag lørdag|søn man tir ons tor fre lør",
    "nb": "januar februar mars april mai juni juli august september oktober november desember"
    "||jan. feb. mars april mai juni juli aug. sep. okt. nov. des."
    "|søndag mandag tirsdag onsdag torsdag fredag lørdag|sø. ma. ti. on. to. fr. lø.",
    "fi": "tammikuu helmikuu maaliskuu huhtikuu toukokuu kesäkuu heinäkuu elokuu syyskuu lokakuu "
    "marraskuu joulukuu|tammikuuta helmikuuta maaliskuuta huhtikuuta toukokuuta kesäkuuta "
    "heinäkuuta elokuuta syyskuuta lokakuuta marraskuuta joulukuuta"
    "|tammi helmi maalis huhti touko kesä heinä elo syys loka marras joulu"
    "|sunnuntai maanantai tiistai keskiviikko torstai perjantai lauantai|su ma ti ke to pe la",
    "cs": "leden únor březen duben květen červen červenec srpen září říjen listopad prosinec"
    "|ledna února března dubna května června července srpna září října listopadu prosince"
    "|led úno bře dub kvě čvn čvc srp zář říj lis pro"
    "|neděle pondělí úterý středa čtvrtek pátek sobota|ne po út st čt pá so",
    "sk": "január február marec apríl máj jún júl august september október november december"
    "|januára februára marca apríla mája júna júla augusta septembra októbra novembra decembra"
    "|jan feb mar apr máj jún júl aug sep okt nov dec"
    "|nedeľa pondelok utorok streda štvrtok piatok sobota|ne po ut st št pi so",
    "hu": "január február március április május június július augusztus szeptember október "
    "november december||jan. febr. márc. ápr. máj. jún. júl. aug. szept. okt. nov. dec."
    "|vasárnap hétfő kedd szerda csütörtök péntek szombat|V H K Sze Cs P Szo",
    "ro": "ianuarie februarie martie aprilie mai iunie iulie august septembrie octombrie noiembrie "
    "decembrie||ian. feb. mar. apr. mai iun. iul. aug. sept. oct. nov. dec."
    "|duminică luni marți miercuri joi vineri sâmbătă|dum. lun. mar. mie. joi vin. sâm.",
    "ru": "Январь Февраль Март Апрель Май Июнь Июль Август Сентябрь Октябрь Ноябрь Декабрь"
    "|января февраля марта апреля мая июня июля августа сентября октября ноября декабря"
    "|янв фев мар апр май июн июл авг сен окт ноя дек"
    "|воскресенье понедельник вторник среда четверг пятница суббота|Вс Пн Вт Ср Чт Пт Сб",
    "uk": "Січень Лютий Березень Квітень Травень Червень Липень Серпень Вересень Жовтень Листопад "
    "Грудень|січня лютого березня квітня травня червня липня серпня вересня жовтня листопада "
    "грудня|січ лют бер квт трв чер лип сер вер жов лис гру"
    "|неділя понеділок вівторок середа четвер п'ятниця субота|Нд Пн Вт Ср Чт Пт Сб",
    "el": "Ιανουάριος Φεβρουάριος Μάρτιος Απρίλιος Μάιος Ιούνιος Ιούλιος Αύγουστος Σεπτέμβριος "
    "Οκτώβριος Νοέμβριος Δεκέμβριος|Ιανουαρίου Φεβρουαρίου Μαρτίου Απριλίου Μαΐου Ιουνίου Ιουλίου "
    "Αυγούστου Σεπτεμβρίου Οκτωβρίου Νοεμβρίου Δεκεμβρίου"
    "|Ιαν Φεβ Μαρ Απρ Μαϊ Ιουν Ιουλ Αυγ Σεπ Οκτ Νοε Δεκ"
    "|Κυριακή Δευτέρα Τρίτη Τετάρτη Πέμπτη Παρασκευή Σάββατο|Κυρ Δευ Τρι Τετ Πεμ Παρ Σαβ",
    "tr": "Ocak Şubat Mart Nisan Mayıs Haziran Temmuz Ağustos Eylül Ekim Kasım Aralık"
    "||Oca Şub Mar Nis May Haz Tem Ağu Eyl Eki Kas Ara"
    "|Pazar Pazartesi Salı Çarşamba Perşembe Cuma Cumartesi|Paz Pzt Sal Çar Per Cum Cmt",
}


def _names(text: str) -> Names:
    months, months_of, months_short, days, days_short = (
        tuple(part.split()) for part in text.split("|")
    )
    return Names(months, months_of or months, months_short, days, days_short)


NAMES = {language: _names(text) for language, text in _NAMES.items()}


def find(locale: str) -> Locale | None:
    """The locale of a job's id, or None. "de" stands for "de_DE"; "-" may stand for "_"."""
    language, _, country = locale.strip().replace("-", "_").partition("_")
    if not country:
        return LOCALES.get(_BY_LANGUAGE.get(language.lower(), ""))
    language = "nb" if language.lower() == "no" else language.lower()
    return LOCALES.get(f"{language}_{country.upper()}")


def known() -> str:
    """Every locale id, for messages."""
    return ", ".join(sorted(LOCALES))


def nearest(locale: str) -> str:
    """The known locale whose id looks most like what was written, or an empty text."""
    return next(iter(difflib.get_close_matches(locale, sorted(LOCALES), 1)), "")


def of_language(language: str) -> Locale | None:
    """The locale that a language alone stands for."""
    return LOCALES.get(_BY_LANGUAGE.get(language, ""))


def language_of(tag: str) -> str | None:
    """The language of a format's tag: "407", "1010409", "de-DE". None: no names known here."""
    if "-" in tag or (tag.isalpha() and tag[:2].lower() in NAMES and len(tag) == 2):
        language = tag[:2].lower()
        return language if language in NAMES else None
    try:
        return _PRIMARY.get(int(tag, 16) & 0x3FF)
    except ValueError:
        return None
