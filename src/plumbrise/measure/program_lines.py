"""Lines of a motion program, read strictly: one command a line, words apart, nothing that two
controllers could read in two ways."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

from plumbrise.measure.program_words import (
    ACTIVE_COMMENTS,
    ACTS_AT_ONCE,
    ALLOWED,
    COMMANDS,
    ODD_LETTERS,
    REASON,
    SPELLINGS,
    TRICKS,
)

LONGEST_LINE = 80
"""Characters in a line. Small controllers keep lines of 80 to 96 characters; what is beyond may be
cut off, or obeyed as a line of its own."""
LARGEST_NUMBER = 99_999
"""Whole part of a number. A larger one is a slip, and may run over inside a controller."""
DECIMALS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What the check has to say of one line.

    `id` names the kind of finding, `line` counts from 1 (0: the whole program), `word` is what
    stands there. `refuses`: with it the program is not safe; else it is only said.
    """

    id: str
    line: int
    word: str
    what: str
    allowed: str
    remedy: str
    refuses: bool = True

    def __str__(self) -> str:
        where = f"Line {self.line}" if self.line else "Program"
        told = f"{where}, {self.word}: {self.what}. Allowed: {self.allowed}. {self.remedy}"
        return told if self.refuses else f"Take care. {told}"


@dataclass(frozen=True, slots=True)
class Line:
    """One line that does something: its command and the numbers of its words, as written."""

    number: int
    code: str
    words: dict[str, Decimal]


@dataclass(frozen=True, slots=True)
class Split:
    """A line cut into what is obeyed and what is only a comment."""

    number: int
    code: str
    comment: str
    findings: tuple[Finding, ...] = ()


_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")
_WORD = re.compile(rf"([A-Z])({_NUMBER.pattern})")
_TOGETHER = re.compile(rf"(?:[A-Z]{_NUMBER.pattern}){{2,}}")
_COMMAND_INSIDE = re.compile(r"[GMT]\s*\d", re.IGNORECASE)


def split(text: str) -> list[Split]:
    """A program's lines with comments taken off; characters that no line may hold are found.

    Lines end with a line feed, with or without a carriage return before it. Nothing else ends a
    line here, and whatever else could end one on a controller is refused.

    Example:
        >>> [(one.code, one.comment) for one in split("G90 ; from zero\\n(up)")]
        [('G90', ' from zero'), ('', 'up')]
    """
    lines = text.split("\n")
    if lines and not lines[-1]:
        lines.pop()
    return [_split(number, raw.removesuffix("\r")) for number, raw in enumerate(lines, 1)]


def _split(number: int, raw: str) -> Split:
    found = tuple(_characters(number, raw))
    if len(raw) > LONGEST_LINE:
        found += (
            Finding(
                id="long-line",
                line=number,
                word=f"{len(raw)} characters",
                what="a controller may cut it, and obey the rest as another line",
                allowed=f"{LONGEST_LINE} characters",
                remedy="Shorten it, or go on in another comment line.",
            ),
        )
    if found:
        return Split(number, "", "", found)
    marks = [raw.find(mark) for mark in "(;" if mark in raw]
    if not marks:
        code, comment = raw, ""
    elif raw[min(marks)] == ";":
        code, _, comment = raw.partition(";")
        found = _after_semicolon(number, comment)
    else:
        code, _, rest = raw.partition("(")
        comment, closed, after = rest.partition(")")
        found = _in_brackets(number, comment, bool(closed), after)
    if ")" in code:
        found += (_comment(number, ")", "a bracket closes that was not opened"),)
    first = re.match(r"\s*([A-Za-z]+)\s*(,|$|\s)", comment)
    if first and first[1].upper() in ACTIVE_COMMENTS:
        found += (_comment(number, first[1], "some controllers obey a comment that begins so"),)
    return Split(number, code.strip(), comment, found)


def _characters(number: int, raw: str) -> list[Finding]:
    found = []
    for character in dict.fromkeys(raw):
        if character in ACTS_AT_ONCE:
            name, what, kind = character, ACTS_AT_ONCE[character], "acts-at-once"
        elif not character.isascii():
            name = unicodedata.name(character, f"character {ord(character):#x}").lower()
            what, kind = "it may look like another character or be read as two", "not-ascii"
        elif not character.isprintable() and character != "\t":
            name = f"character {ord(character)}"
            what, kind = "some controllers end a line or act at once there", "control-character"
        else:
            continue
        found.append(
            Finding(
                id=kind,
                line=number,
                word=name,
                what=what,
                allowed="letters, digits, blanks and . - + ( ) ; as on an English keyboard",
                remedy="Take the character out, in comments too.",
            )
        )
    return found


def _comment(number: int, word: str, what: str) -> Finding:
    active = word.upper() in ACTIVE_COMMENTS
    return Finding(
        id="active-comment" if active else "bracket",
        line=number,
        word=word,
        what=what,
        allowed="a comment after ; or one pair of brackets at the end of a line",
        remedy="Write the comment after ; in other words.",
    )


def _after_semicolon(number: int, comment: str) -> tuple[Finding, ...]:
    if re.sub(r"\([^()]*\)", "", comment).count("(") + re.sub(r"\([^()]*\)", "", comment).count(
        ")"
    ):
        return (_comment(number, "( or )", "a bracket without its other half"),)
    return ()


def _in_brackets(number: int, comment: str, closed: bool, after: str) -> tuple[Finding, ...]:
    if not closed:
        return (_comment(number, "(", "the bracket is not closed, and may hide what follows"),)
    if "(" in comment or ";" in comment:
        return (_comment(number, "( or ;", "where the comment ends depends on the controller"),)
    inside = _COMMAND_INSIDE.search(comment)
    if inside:
        what = "a controller that does not know brackets would obey it"
        return (_comment(number, inside[0], what),)
    if after.strip() and not after.lstrip().startswith(";"):
        return (
            Finding(
                id="after-comment",
                line=number,
                word=after.strip(),
                what="a word after a comment may be lost or obeyed",
                allowed="a comment at the end of a line",
                remedy="Put the words before the comment.",
            ),
        )
    return _after_semicolon(number, after)


def read_line(number: int, code: str) -> tuple[Line | None, tuple[Finding, ...]]:
    """The command and the words of one line's code, or what is wrong with it.

    Example:
        >>> line, _ = read_line(1, "G1 Z5 F120")
        >>> line.code, line.words["Z"]
        ('G1', Decimal('5'))
        >>> read_line(1, "M104 S200")[1][0].id
        'heat'
    """
    tokens = code.split()
    first = tokens[0]
    command = COMMANDS.get(SPELLINGS.get(first, first))
    if command is None:
        return None, (_not_a_command(number, first),)
    words: dict[str, Decimal] = {}
    for token in tokens[1:]:
        word = _WORD.fullmatch(token)
        if word is None:
            return None, (_not_a_word(number, token),)
        letter, value = word[1], word[2]
        if letter in "GMNOT":
            return None, (_second_command(number, token),)
        if letter not in command.words:
            return None, (_wrong_word(number, token, command.code, command.words),)
        if letter in words:
            return None, (_find(number, token, "word-twice", "which of the two counts is open"),)
        if abs(Decimal(value)) > LARGEST_NUMBER or len(value.partition(".")[2]) > DECIMALS:
            return None, (_too_large(number, token),)
        words[letter] = Decimal(value)
    return Line(number, command.code, words), ()


def _find(
    number: int,
    word: str,
    kind: str,
    what: str,
    allowed: str = "one command a line, its words apart, each letter once",
    remedy: str = "Mend or take out the line.",
) -> Finding:
    return Finding(id=kind, line=number, word=word, what=what, allowed=allowed, remedy=remedy)


def _not_a_command(number: int, token: str) -> Finding:
    sort = REASON.get(token)
    if sort is None and re.fullmatch(r"[GM]0\d", token):
        sort = REASON.get(token[0] + token[2])
    if sort is None and re.fullmatch(r"[GM]\d+\.\d+", token):
        sort = REASON.get(token.partition(".")[0])
    if sort is not None:
        remedy = "Take the line out; if your controller cannot do without it, do it by hand before."
        return _find(number, token, sort.id, sort.why, ALLOWED, remedy)
    odd = _odd(number, token)
    if odd is not None:
        return odd
    word = _WORD.fullmatch(token)
    if word and word[1] in "XYZFPIJKRABCUVWE":
        what = "a line without its command is read in the last one's sense, or not at all"
        return _find(number, token, "no-command", what, ALLOWED, "Begin the line with G1.")
    if word and word[1] == "T":
        return _find(number, token, "tool", "it changes tools", ALLOWED)
    return _find(number, token, "unknown-word", "this word is not known here", ALLOWED)


def _not_a_word(number: int, token: str) -> Finding:
    return _odd(number, token) or _find(
        number,
        token,
        "bad-number",
        "this is no letter with a plain number",
        "a capital letter, then digits with at most one point: Z10.5",
        "Write the number with digits and a point, without an exponent.",
    )


def _odd(number: int, token: str) -> Finding | None:
    """What is wrong with a token that is no word as it should stand."""
    for character in token:
        if character in TRICKS:
            kind, what = TRICKS[character]
            return _find(number, token, kind, what, ALLOWED, "Take it out.")
    if re.match(r"[Nn]\d", token):
        what = "line numbers belong to the sender"
        return _find(number, token, "line-number", what, ALLOWED, "Take the number out.")
    if re.match(r"O\d", token):
        what = "it begins, calls or repeats other lines"
        return _find(number, token, "macro", what, ALLOWED, "Write every line out.")
    if re.fullmatch(r"[a-z].*", token):
        what = "some controllers do not read small letters, and the line would be lost"
        return _find(number, token, "small-letter", what, ALLOWED, "Write it in capitals.")
    if _TOGETHER.fullmatch(token):
        what = "words that run together are read in more than one way"
        return _find(number, token, "run-together", what, remedy="Put a blank between words.")
    if re.fullmatch(r"[A-Z]", token):
        what = "a letter without its number, or a blank between them"
        return _find(number, token, "no-number", what, remedy="Write letter and number together.")
    return None


def _second_command(number: int, token: str) -> Finding:
    kind, what = "two-commands", "many controllers obey only the first command of a line"
    sort = REASON.get(token)
    if sort is not None:
        kind, what = sort.id, sort.why
    elif token[0] == "N":
        kind, what = "line-number", "line numbers belong to the sender"
    elif token[0] == "O":
        kind, what = "macro", "it begins, calls or repeats other lines"
    elif token[0] == "T":
        kind, what = "tool", "it changes tools"
    return _find(number, token, kind, what, remedy="Give each command its own line.")


def _wrong_word(number: int, token: str, code: str, words: tuple[str, ...]) -> Finding:
    allowed = f"{code} with {', '.join(words)}" if words else f"{code} alone"
    odd = ODD_LETTERS.get(token[0])
    what = f"it means {odd}" if odd else f"it has no place after {code}"
    kind = "odd-letter" if odd else "word-not-here"
    return _find(number, token, kind, what, allowed, "Take the word out.")


def _too_large(number: int, token: str) -> Finding:
    return _find(
        number,
        token,
        "huge-number",
        "so many digits may be cut or run over inside a controller",
        f"{LARGEST_NUMBER} at most, with up to {DECIMALS} decimals",
        "Write the number shorter.",
    )
