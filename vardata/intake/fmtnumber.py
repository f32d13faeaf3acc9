"""Numbers laid out by a section of a number format: digits, scale, exponents, fractions.

In: a number and a ``Section`` of kind "number", "general" or "literal". Out: the text shown.
Rules: ECMA-376 part 1, 18.8.30 and 18.8.31. A spreadsheet keeps 15 significant digits and
rounds halves away from zero, so the work is done in decimals made from 15 digits.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from vardata.intake.fmtcode import FormatFault, Section, Token
from vardata.intake.locales import Locale

_WIDE = Context(prec=700, rounding=ROUND_HALF_UP)  # a float has up to 309 digits before the point


def as_decimal(value: float) -> Decimal:
    """The number with the 15 significant digits that a spreadsheet keeps and shows."""
    return Decimal(f"{value:.15g}")


def general(value: float, locale: Locale) -> str:
    """The General format in a column wide enough: up to 15 significant digits.

    Powers of ten are shown from 1E+15 up, and where a small number would need more than 15
    decimals or starts after the tenth, as LibreOffice 7.4 does.
    """
    number = as_decimal(value).normalize(_WIDE)
    if not number:
        return "0"
    power = number.adjusted()
    sign, digits, exponent = number.as_tuple()
    decimals = -int(exponent)
    if power >= 15 or (power < -4 and (power < -9 or decimals > 15)):
        text = "".join(map(str, digits))
        mantissa = text[0] + (locale.decimal + text[1:] if len(text) > 1 else "")
        return f"{'-' if sign else ''}{mantissa}E{'-' if power < 0 else '+'}{abs(power):02d}"
    return f"{number:f}".replace(".", locale.decimal)


class _Plan(NamedTuple):
    """Where the parts of a number section lie in its tokens."""

    whole: tuple[Token, ...]
    point: bool
    decimals: tuple[Token, ...]
    exponent: str  # "E+", "E-" or empty
    power: tuple[Token, ...]
    percents: int
    thousands: int  # how often to divide by 1000
    grouped: bool


@lru_cache(maxsize=4096)
def _plan(tokens: tuple[Token, ...]) -> _Plan:
    exponent = next((i for i, t in enumerate(tokens) if t.kind == "exponent"), len(tokens))
    mantissa, power = tokens[:exponent], tokens[exponent + 1 :]
    point = next((i for i, t in enumerate(mantissa) if t.kind == "point"), len(mantissa))
    digits = [i for i, t in enumerate(mantissa) if t.kind == "digit"]
    whole_digits = [i for i in digits if i < point]
    thousands, grouped, scaling = 0, False, set()
    for i, token in enumerate(mantissa):
        if token.kind != "comma":
            continue
        if whole_digits and whole_digits[0] < i < whole_digits[-1]:
            grouped = True
        elif digits and _scales(mantissa, i):
            thousands += 1
            scaling.add(i)

    def keep(i: int, t: Token) -> bool:
        return t.kind != "comma" or not (i in scaling or (grouped and i < point))

    return _Plan(
        tuple(_plain(t) for i, t in enumerate(mantissa[:point]) if keep(i, t)),
        point < len(mantissa),
        tuple(_plain(t) for i, t in enumerate(mantissa) if i > point and keep(i, t)),
        tokens[exponent].text if exponent < len(tokens) else "",
        tuple(_plain(t) for t in power),
        sum(t.kind == "percent" for t in tokens),
        thousands,
        grouped,
    )


def _scales(tokens: tuple[Token, ...], comma: int) -> bool:
    """Whether only commas lie between this comma and the digit before it: it divides by 1000."""
    before = comma - 1
    while before >= 0 and tokens[before].kind == "comma":
        before -= 1
    return before >= 0 and tokens[before].kind == "digit"


def _plain(token: Token) -> Token:
    return token if token.kind == "digit" else Token("text", token.text)


def show(value: float, section: Section, locale: Locale, signed: bool) -> str:
    """The number as the section shows it. ``signed``: a minus is ours to write."""
    if section.kind == "general":
        text = "".join(
            general(abs(value), locale) if t.kind == "general" else t.text for t in section.tokens
        )
        return "-" + text if signed and value < 0 else text
    if section.kind == "literal":
        text = "".join(t.text for t in section.tokens)
        return "-" + text if signed and value < 0 and text else text
    slash = next((i for i, t in enumerate(section.tokens) if t.kind == "slash"), 0)
    if slash and section.tokens[slash - 1].kind == "digit":
        return _fraction(value, section.tokens, slash, signed)
    plan = _plan(section.tokens)
    number = abs(as_decimal(value)).scaleb(2 * plan.percents - 3 * plan.thousands, _WIDE)
    text, nothing = _power(number, plan, locale) if plan.exponent else _fixed(number, plan, locale)
    return "-" + text if signed and value < 0 and not nothing else text


def _fixed(number: Decimal, plan: _Plan, locale: Locale) -> tuple[str, bool]:
    """The text of a number without exponent, and whether it was rounded to nothing."""
    places = sum(t.kind == "digit" for t in plan.decimals)
    rounded = _WIDE.quantize(number, Decimal(1).scaleb(-places))
    whole, _, decimals = f"{rounded:f}".partition(".")
    text = _whole(whole.lstrip("0"), plan.whole, locale.group if plan.grouped else "")
    if plan.point:
        text += locale.decimal
    return text + _decimals(decimals, plan.decimals), not rounded


def _whole(digits: str, tokens: tuple[Token, ...], group: str) -> str:
    """Digits laid into placeholders from the right; the first placeholder takes all the rest."""
    if not any(t.kind == "digit" for t in tokens):
        # ".00" shows 1.5 as 1.50: the digits stand right before the point.
        return "".join(t.text for t in tokens) + digits
    first = next(i for i, t in enumerate(tokens) if t.kind == "digit")
    out: list[str] = []
    count = 0
    left = len(digits)

    def put(char: str) -> None:
        nonlocal count
        if group and count and count % 3 == 0:
            out.append(" " if char == " " else group)
        out.append(char)
        count += 1

    for i in range(len(tokens) - 1, -1, -1):
        token = tokens[i]
        if token.kind != "digit":
            out.append(token.text[::-1])
            continue
        if left:
            left -= 1
            put(digits[left])
        elif token.text != "#":
            put("0" if token.text == "0" else " ")
        while i == first and left:
            left -= 1
            put(digits[left])
    return "".join(out)[::-1]


def _decimals(digits: str, tokens: tuple[Token, ...]) -> str:
    """Decimals laid into placeholders; zeros at the end show as each placeholder says."""
    significant = len(digits.rstrip("0"))
    out: list[str] = []
    place = 0
    for token in tokens:
        if token.kind != "digit":
            out.append(token.text)
            continue
        if place < significant or token.text == "0":
            out.append(digits[place])
        elif token.text == "?":
            out.append(" ")
        place += 1
    return "".join(out)


def _power(number: Decimal, plan: _Plan, locale: Locale) -> tuple[str, bool]:
    """The text of a number with an exponent, a multiple of the digits before the point."""
    step = max(1, sum(t.kind == "digit" for t in plan.whole))
    places = sum(t.kind == "digit" for t in plan.decimals)
    power = number.adjusted() // step * step if number else 0
    mantissa = _WIDE.quantize(number.scaleb(-power, _WIDE), Decimal(1).scaleb(-places))
    if mantissa >= Decimal(10) ** step:
        power += step
        mantissa = _WIDE.quantize(number.scaleb(-power, _WIDE), Decimal(1).scaleb(-places))
    whole, _, decimals = f"{mantissa:f}".partition(".")
    text = _whole(whole.lstrip("0"), plan.whole, "")
    if plan.point:
        text += locale.decimal
    text += _decimals(decimals, plan.decimals)
    sign = "-" if power < 0 else ("+" if plan.exponent == "E+" else "")
    return f"{text}E{sign}{_whole(str(abs(power)).lstrip('0'), plan.power, '')}", not mantissa


def _fraction(value: float, tokens: tuple[Token, ...], slash: int, signed: bool) -> str:
    """``# ?/?`` and its kin: the nearest fraction whose denominator fits."""
    top = slash
    while top and tokens[top - 1].kind == "digit":
        top -= 1
    end = slash + 1
    while end < len(tokens) and (tokens[end].kind == "digit" or tokens[end].text.isdigit()):
        end += 1
    below = "".join(t.text for t in tokens[slash + 1 : end])
    if not below:
        raise FormatFault("a fraction format without a denominator cannot be shown")
    numerator, tail = tokens[top:slash], tokens[end:]
    mixed = any(t.kind == "digit" for t in tokens[:top])
    head = tuple(_plain(t) for t in tokens[:top])
    exact = Fraction(abs(as_decimal(value)))
    whole, rest = divmod(exact, 1) if mixed else (0, exact)
    if below[0] in "123456789":
        denominator = int(below)
        upper = int(rest * denominator + Fraction(1, 2))
    else:
        near = rest.limit_denominator(10 ** len(below) - 1)
        upper, denominator = near.numerator, near.denominator
    if mixed and upper == denominator:
        whole, upper = whole + 1, 0
    nothing = not whole and not upper
    if mixed:
        text = _whole(str(whole) if whole or not upper else "", head, "")
    else:
        text = "".join(t.text for t in head)
    if mixed and not upper:
        text = text + " " * (len(numerator) + 1 + len(below))
    else:
        over = _whole(str(upper), numerator, "")
        under = str(denominator)
        pad = "0" if below[0] == "0" else " "
        text += f"{over}/" + (under.rjust if pad == "0" else under.ljust)(len(below), pad)
    text += "".join(t.text for t in tail)
    return "-" + text if signed and value < 0 and not nothing else text
