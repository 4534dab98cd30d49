"""Talk that is not meant for Lapcall: sentences of the job site and loose strings of words.

The recogniser trains on these to refuse them. Nothing here names a person, a firm or a place.
"""

from __future__ import annotations

import random

_SITE_TEXT = """\
{who} {verb} the {thing} {place}
did {who} {verb} the {thing} {when}
can {who} bring the {thing} {place}
put the {thing} {place} before the {thing} gets {state}
i think the {thing} is too {state} for that
where is the other {thing}
give me the {thing} with the {colour} handle
we need {few} more {things} {when}
the truck with the {things} comes {when}
mind the {thing} {place}
it was {state} {when} and the {things} were {state}
somebody left a {thing} {place}
tell {whom} that the {things} are {state}
my brother had a {colour} {thing} like this
the boss wants the {things} {place} {when}
look at that {state} {thing} {place}
do not drop the {thing} {place}
what time is lunch {when}
i would rather work {when} than {when}
they played good music on the radio {when}
there is coffee {place} if you want some
the game {when} was {state} and we lost
grab your {thing} and come {place}
how is your family doing these days
my back hurts from moving {things} {when}
this {thing} never works when it is {state}
let us clean up {place} and talk {when}
the delivery said {when} but nothing came
who has the key for the {thing}
it was a {state} idea with the {things}
watch your step {place} the boards are {state}
keep the {things} away from the {things}
she said the {thing} costs too much
he bought a {state} {thing} {when}
"""
_SITE = _SITE_TEXT.splitlines()

_FILL_TEXT = """\
who: he, she, they, you, the new kid, somebody, the driver, the boss, we;
verb: move, bring, take, find, leave, carry, see, pick up, tie down, throw, lift, fetch;
thing: ladder, broom, bucket, hammer, rope, truck, shovel, radio, tarp, hose, board, bottle,
box, knife, glove, helmet, jacket, brush, trailer, crane, pallet, screw, cable, engine, phone,
door, table, drill, saw, hook, blanket, chair, sandwich, cooler, wagon, fence;
things: ladders, brooms, buckets, ropes, shovels, tarps, boards, bottles, boxes, knives, gloves,
helmets, pallets, screws, cables, blankets, bricks, nails, papers, sandwiches;
place: behind the truck, over there, by the ladder, in the shade, near the parapet, at the gate,
next to the tank, under the bench, on the ground, inside the trailer, across the street, around
the chimney, by the window, in my bag;
when: today, tomorrow, after lunch, before dark, next week, yesterday, on monday, on friday,
last night, this morning, in a minute, later, sometime, every day;
state: heavy, slippery, broken, empty, noisy, rusty, old, new, dusty, crooked, slow, funny,
terrible, expensive, beautiful, loose, soft, dangerous, crazy, simple, rough, tall, narrow,
tired;
colour: red, blue, green, yellow, black, white, brown, orange;
few: some, many, a few, several, plenty of;
whom: her, him, them, the new kid, somebody, the driver, the boss, everybody;
"""


def _table(text: str) -> dict[str, list[str]]:
    """Return lists by name from text of the form ``name: one, two; name: ...``."""
    rows = [row.split(":") for row in " ".join(text.split()).split(";") if row.strip()]
    return {name.strip(): [item.strip() for item in items.split(",")] for name, items in rows}


_FILL = _table(_FILL_TEXT)

_LOOSE_TEXT = """\
about above across again air almost along also always animal answer anyone apple arm around
ask autumn away baby bag ball basket beach bean bear beautiful because been before begin
believe bell belong below beside better between bicycle big bird birthday bite blanket block
blow body book borrow bother bottle bowl branch bread breakfast breath bridge bright brother
brown build busy butter button call camera camp candle car carpet castle catch cause chair
change cheap cheese chicken child choice circle city class clay climb clock cloth cloud coat
coffee colour comb come company cook cool copper corn cost cotton cough country cousin cow
cream cross crowd cry cup curtain cut daughter day dear decide deep deer desk different
dinner doctor dollar donkey door doubt dream dress drink drive drum duck during each early
ear earth easy eat egg elbow empty engine enjoy enough evening ever every example except
explain eye face fact family far farm father fault favorite feather feel fence few field
figure finger fish flag floor flower fly follow food forest forget fork friend frog front
fruit funny game garden gate gentle gift girl give glad glass goat gold grass great green
group grow guess guitar hair hammer hand happen happy hard hat hear heart heaven heel height
hello hide hill history hobby holiday honey horse hospital hotel house hungry hurry husband
ice idea important island jacket job join joke journey juice jump jungle just keep kettle
key kind king kitchen kite knee know lady lake lamp language large late laugh lawyer leaf
learn leather lemon lesson letter library lion listen little living lock lonely look lose
love lucky machine magic make manager many map market marry matter maybe meal mean meat
medicine meet member message metal middle milk mind mirror money monkey month moon mother
mountain mouse much music narrow nature neck neighbor nephew never news nice night noise
nose nothing notice number ocean offer office often onion orange order other oven owner page
paint paper parent party pass pencil people pepper perhaps picture piece pillow pilot place
plain plant plate play please plenty pocket point police poor potato pretty price problem
promise proud public puppy purple purse quick quiet rabbit race railway reach real reason
remember rice rich ride ring river road robin rocket room rope rose rubber safe sail salad
salt sand school science season seat secret seven shadow shape share sharp sheep shelf ship
shirt shoe shop shoulder shower silver simple sister sleep smart smell smile smoke snow soap
soccer sock soft soldier son song sorry soup spider spoon spring square stairs station stay
steam stone story strange street student sudden sugar summer sunny supper sweet swim table
talk teacher tennis thank theater thick thing thirsty thought thunder ticket tiger together
tomato tomorrow tooth travel treasure tree trouble trouser truth turkey turtle ugly umbrella
uncle understand usual valley vegetable very village violin visit voice wagon walk wall
watch water weather wedding weekend welcome whale wheel whisper window winter wise wonder
wood wool world worry write yellow yesterday young zebra
"""
_LOOSE = _LOOSE_TEXT.split()


def site_sentence(rng: random.Random) -> str:
    """Return something said on the roof that is nobody's command."""
    words = []
    for word in rng.choice(_SITE).split():
        name = word.strip("{}")
        words.append(rng.choice(_FILL[name]) if word.startswith("{") else word)
    return " ".join(words)


def loose_words(rng: random.Random, spice: list[str], vocabulary: list[str]) -> str:
    """Return two to six unrelated words; one string in five hides a word that Lapcall knows."""
    words = rng.sample(vocabulary if rng.random() < 0.7 else _LOOSE, rng.randint(2, 6))
    if rng.random() < 0.2:
        words.insert(rng.randrange(len(words) + 1), rng.choice(spice))
    return " ".join(words)


def chatter(rng: random.Random, spice: list[str], vocabulary: list[str]) -> str:
    """Return one utterance to refuse; ``vocabulary`` is where its loose words come from."""
    return site_sentence(rng) if rng.random() < 0.4 else loose_words(rng, spice, vocabulary)
