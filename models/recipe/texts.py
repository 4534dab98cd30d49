"""What is said: commands and answers, widths and other measured values, seam numbers, words.

Texts are lower-case words as the recogniser knows them. A comma is a pause for the voice only;
``words_of`` drops it from what is trained on.
"""

from __future__ import annotations

import random

_ONES_TEXT = """\
zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen
fifteen sixteen seventeen eighteen nineteen"""
_TENS_TEXT = "twenty thirty forty fifty sixty seventy eighty ninety"
ONES = _ONES_TEXT.split()
TENS = _TENS_TEXT.split()

COMMANDS = """\
yes;affirm;that is right;no;wrong;that is wrong;say again;go back;scratch that;hold;hold on;
carry on;why;what did you hear;where are we;what can i say;stop;help;fire;shock;done;ready;
film tearing;film tearing bond;scrim showing;tore the film;tore the sheet;ripped the film;
peeled clean;clean peel;let go;zipped open;half and half;partly;part and part;none;all good;
void;voids;bleed out;dark line;wrinkle;burn;scorched;stitch marks;fishmouth;gap;decimal;
point;seam;number;correction;listen up;
how many today;read the last test;change the last test;next seam;test weld;start of shift;
power was lost;power is back;rain;it is raining;changing gun;changing the gun;new gun;
changing nozzle;new roller;break;lunch;back from break;note;end of note;how;skip;finish;
start over;next;continue;repeat;cancel;good;bad;pass;fail;dry;damp;wet;clean;dirty;cold;
cold to the touch;hot;warm;steady;jerky;inside corner;outside corner;pipe;curb;drain;tie in;
hey lapcall;lapcall;okay lapcall;lapcall listen;wake up lapcall;lapcall come in;crew chief;
thermoplastic;stop stop;listen here;tear;a few;hand over;shut down;cool down;fire watch"""
"""Every phrase that is a whole answer; semicolons part them."""
_NAMED = [phrase.strip() for phrase in COMMANDS.split(";")]

PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}
LEADING_HEDGES = "a strong;a heavy;a full;a light;a scant;just under;just over;about;roughly"
TRAILING_HEDGES = "strong;heavy;full;light;shy;scant;plus;fat;weak;minus;short;long"
EXACT = ["even", "exactly", "on the nose"]


def words_of(text: str) -> str:
    """Return the words alone, without the commas that mark a pause."""
    return " ".join(text.replace(",", " ").split())


def phrase_table() -> list[str]:
    """Return every command and answer, each once."""
    return list(_NAMED)


def word_table() -> list[str]:
    """Return every number word, fraction word and fraction that is also trained on alone."""
    single = [*ONES, *TENS, "oh", "hundred", "inch", "inches", "an inch", "millimeters"]
    single += ["half", "a half", "one half", "quarter", "quarters", "a quarter", "eighth"]
    single += ["eighths", "an eighth", "sixteenth", "sixteenths", "a sixteenth", "fourth"]
    single += ["half inch", "quarter inch", "strong", "heavy", "light", "shy", "scant", "full"]
    single += ["fat", "plus", "minus", "long", "short", "weak", "degrees", "percent", "volts"]
    single += ["feet", "foot", "gauge", "thousand", "thirty second", "thirty seconds", "and"]
    for parts in (4, 8, 16):
        single += [counted(count, parts) for count in range(1, parts)]
    return list(dict.fromkeys(single))


def cardinal(number: int, joiner: str = " ") -> str:
    """Return a number from 0 to 999 in words; ``joiner`` may be " and " behind the hundreds."""
    if number < 20:
        return ONES[number]
    if number < 100:
        rest = f" {ONES[number % 10]}" if number % 10 else ""
        return TENS[number // 10 - 2] + rest
    rest = joiner + cardinal(number % 100) if number % 100 else ""
    return f"{ONES[number // 100]} hundred{rest}"


def one_by_one(digits: str, rng: random.Random) -> str:
    """Return digits said singly; a nought is "zero" or "oh"."""
    return " ".join(rng.choice(["zero", "oh"]) if d == "0" else ONES[int(d)] for d in digits)


def counted(count: int, parts: int) -> str:
    """Return a counted fraction: "three eighths", "one quarter"."""
    if count == 1:
        return f"one {PARTS[parts]}"
    return f"{cardinal(count)} " + ("halves" if parts == 2 else f"{PARTS[parts]}s")


def _fraction(rng: random.Random) -> str:
    parts = rng.choices([2, 4, 8, 16, 32], [10, 18, 36, 32, 4])[0]
    count = rng.randint(1, parts - 1) if rng.random() < 0.3 else rng.randrange(1, parts, 2)
    if count > 1:
        many = counted(count, parts)
        return many.replace("quarters", "fourths") if rng.random() < 0.15 else many
    name = "fourth" if parts == 4 and rng.random() < 0.1 else PARTS[parts]
    article = "an" if name[0] in "aeiou" else "a"
    return rng.choice([f"one {name}", f"{article} {name}", name if parts < 32 else f"one {name}"])


def _whole(rng: random.Random) -> int:
    return rng.choices(range(1, 7), [50, 25, 10, 6, 5, 4])[0]


def _mixed(rng: random.Random) -> str:
    whole = _whole(rng)
    name = ONES[whole]
    unit = "inch" if whole == 1 else "inches"
    if whole == 1:
        lead = rng.choice(["inch", "inch", "an inch", "one inch", "one", "one"])
    else:
        lead = rng.choice([name, name, f"{name} {unit}"])
    fraction = _fraction(rng)
    bare = fraction.split()[0] not in ("a", "an") and " " in fraction
    joiner = " " if bare and rng.random() < 0.3 else " and "
    tail = "" if "inch" in lead else rng.choice(["", "", " inches"])
    return lead + joiner + fraction + tail


def _under_one(rng: random.Random) -> str:
    fraction = _fraction(rng)
    return fraction + rng.choice(["", "", "", " inch", " of an inch"])


def _inches(rng: random.Random) -> str:
    whole = _whole(rng)
    if whole == 1:
        return rng.choice(["inch", "an inch", "one inch"])
    return f"{ONES[whole]} inches"


def decimal(rng: random.Random) -> str:
    """Return a width in decimals, with "point" or, digit by digit, "decimal"."""
    whole = rng.choice(["zero", "one", "one", "one", "two", "three", ""])
    digits = rng.choice(["25", "5", "75", "125", "375", "625", "875", ""])
    digits = digits or "".join(rng.choice("0123456789") for _ in range(rng.randint(1, 4)))
    mark = rng.choice(["point", "point", "decimal"])
    tail = rng.choice(["", "", "", " inches"])
    return f"{whole} {mark} {one_by_one(digits, rng)}{tail}".strip()


def _metric(rng: random.Random) -> str:
    number = cardinal(rng.randint(5, 60) if rng.random() < 0.8 else rng.randint(1, 99))
    unit = rng.choice(["millimeters", "millimeters", "millimeters", "millimeter", "mils", "mil"])
    tenth = f" point {rng.choice(ONES[:10])}" if rng.random() < 0.12 else ""
    return f"{number}{tenth} {unit}"


def _plain_width(rng: random.Random) -> str:
    kinds = [_mixed, _under_one, _inches, decimal, _metric]
    return rng.choices(kinds, [46, 22, 6, 15, 11])[0](rng)


def width(rng: random.Random) -> str:
    """Return a width as a welder may say it: plain, hedged, or corrected in the same breath."""
    said = _plain_width(rng)
    chance = rng.random()
    if chance < 0.10:
        lead = rng.choice(LEADING_HEDGES.split(";"))
        bare = said
        if lead.startswith("a ") and said.split()[0] in ("a", "an"):
            bare = said.split(maxsplit=1)[1]
        return f"{lead} {bare}"
    if chance < 0.22:
        return f"{said} {rng.choice(TRAILING_HEDGES.split(';'))}"
    if chance < 0.27:
        return f"{said} {rng.choice(EXACT)}"
    if chance < 0.35:
        mend = rng.choice([", no ", ", no, ", " no ", ", correction "])
        return said + mend + rng.choice([_fraction, _plain_width])(rng)
    return said


_MARKED = "a void;a bleed out;a wrinkle;a burn;stitch marks;a fishmouth;a gap;a dark line"
_FEET = "feet;feet;foot"
_MEASURED = """\
{n} degrees;minus {n} degrees;{n} below;{n} fahrenheit;temperature {n};air {n} degrees;
sheet {n} degrees;{n} percent;humidity {n};humidity {n} percent;wind {n};{n} miles an hour;
gusts to {n};{n} volts;{n} amps;{n} {f};{n} {f} {m} inches;{n} {f} of seam;{n} foot cord;
{g} gauge;{g} gauge cord;dial {m};dial {m} point {m};setting {m};dial {m} and a half;
{n} minutes;{n} seconds;{n} meters;mark {d} at {n} {f};mark {d};{n} point {m};{n} and a half"""
_MEASURED_FORMS = [form.strip() for form in _MEASURED.split(";")]


def measured(rng: random.Random) -> str:
    """Return weather, power, lengths, dial marks, or a defect marked where it is."""
    number = rng.choice([rng.randint(1, 30), rng.randint(1, 120), rng.randint(100, 999)])
    said = rng.choice([cardinal(number), cardinal(number), one_by_one(str(number), rng)])
    return rng.choice(_MEASURED_FORMS).format(
        n=said,
        m=ONES[rng.randint(0, 11)],
        f=rng.choice(_FEET.split(";")),
        g=rng.choice(["ten", "twelve", "fourteen", "sixteen"]),
        d=rng.choice(_MARKED.split(";")),
    )


def seam_number(rng: random.Random) -> str:
    """Return a seam's number or a plain number up to 999, in any of the ways to count."""
    number = rng.choice([rng.randint(1, 30), rng.randint(1, 99), rng.randint(100, 999)])
    ways = [cardinal(number), cardinal(number, rng.choice([" ", " and "]))]
    ways.append(one_by_one(str(number), rng))
    if number > 99 and number % 100 > 9:
        ways.append(f"{ONES[number // 100]} {cardinal(number % 100)}")
    lead = rng.choice(["seam ", "seam ", "seam ", "number ", "seam number ", "", ""])
    return lead + rng.choice(ways)
