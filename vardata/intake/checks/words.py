"""Words by which texts give themselves away, in the languages that shops meet most.

From common practice, no source; a job adds its own under ``[checks]``. All are case-folded.
"""

from __future__ import annotations

# A note to the shop. Whole words; none is a name that people bear.
INSTRUCTIONS = (
    # English
    "please", "pls", "plz", "asap", "as discussed", "as agreed", "see email", "see e-mail",
    "see attached", "see attachment", "see note", "instead of", "make it", "make this",
    "no logo", "without logo", "gift wrap", "call me", "let me know", "same design",
    "in capitals", "in gold", "in silver", "in blue", "in red", "in green", "in white",
    # German
    "bitte", "wie besprochen", "siehe anhang", "siehe mail", "ohne logo", "in großbuchstaben",
    "statt", "dringend",
    # French
    "svp", "s'il vous plaît", "s'il vous plait", "s’il vous plaît", "sans logo", "voir mail",
    # Spanish, Portuguese, Italian
    "por favor", "sin logo", "sem logo", "per favore", "senza logo", "urgente",
    # Dutch, Polish, Czech, Swedish
    "alstublieft", "graag", "zonder logo", "proszę", "prosím", "utan logotyp",
)  # fmt: skip

# A reference to the row above. Whole texts.
SAME_AS_ABOVE = frozenset({
    "same as above", "same as previous", "same as before", "as above", "see above", "ditto",
    "do.", '"', "''", "″", "〃", "“", "”", "„", "-\"-", "- \" -", "—\"—",
    "wie oben", "siehe oben", "s.o.", "s. o.", "dto", "dto.", "dito",
    "idem", "comme ci-dessus", "voir ci-dessus", "igual", "ídem", "igual que arriba",
    "like above", "as before", "see previous", "same again", "same name", "same text",
    "come sopra", "zie boven", "jak wyżej", "jw.", "j.w.", "viz výše",
})  # fmt: skip

# The same in small letters or in brackets: Same with a capital is a name that people bear.
SAME = frozenset({"same"})

# Words for nothing, and sample texts. Whole texts.
PLACEHOLDERS = frozenset({
    "n/a", "n.a.", "n. a.", "#n/a", "#n/v", "k.a.", "k. a.", "n.v.", "tbd", "tba", "tbc",
    "t.b.d.", "t.b.a.", "t.b.c.", "null", "nan", "none", "nil", "undefined", "(blank)", "(leer)",
    "xxx", "xxxx", "xxxxx", "?", "??", "???", "????", "-", "--", "---", "–", "—", ".", "..",
    "...", "…", "/", "//", "_", "__", "___", "*", "**", "***",
    "test", "tests", "testing", "test test", "test 1", "test1", "test123", "asdf", "asdfgh",
    "qwerty", "qwertz", "foo", "bar", "foobar", "lorem ipsum", "dummy", "placeholder",
    "sample", "sample text", "example", "example text", "your name", "your name here",
    "your text", "your text here", "your logo", "name here", "text here", "insert name",
    "insert text", "enter name", "enter text", "first name last name", "muster",
    "max mustermann", "erika mustermann", "ihr name", "ihr text", "mustertext", "beispieltext",
    "votre nom", "votre texte", "su nombre", "tu nombre", "il tuo nome", "jan kowalski",
})  # fmt: skip
