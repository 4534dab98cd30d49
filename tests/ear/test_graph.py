from __future__ import annotations

import random
import struct
from collections import defaultdict
from itertools import product

import pytest
from support.ear import MODEL

from assistant.ear.fst import Fst
from assistant.ear.graph import UNKNOWN, Costs, Graph, compile_graph
from assistant.ear.lexicon import Lexicon, read_lexicon
from assistant.errors import ModelProblem
from assistant.words import grammars
from assistant.words.phrase import Grammar, Opt, any_of, say, seq

SILENCE = "SIL"
SMALL = Grammar(
    "small",
    any_of(
        seq(Opt(say("a", None)), say("half", None), Opt(any_of(say("inch", 1), say("inches", 2)))),
        say("half and half", None),
        say("eighth", None),
    ),
)
SMALL_PHRASES = {
    "half", "a half", "half inch", "a half inch", "half inches", "a half inches",
    "half and half", "eighth",
}  # fmt: skip


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    """The lexicon that ships."""
    return read_lexicon(MODEL)


def _paths(graph: Graph) -> set[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Return (transitions, words) of every path, loops left out."""
    leaving = defaultdict(list)
    for start, reads, writes, _, to in graph.fst.arcs:
        if start != to:
            leaving[start].append((reads, writes, to))
    found = set()
    todo = [(0, (), (), frozenset({0}))]
    while todo:
        state, read, written, seen = todo.pop()
        if state in graph.fst.finals:
            found.add((read, written))
        for reads, writes, to in leaving[state]:
            if to not in seen:
                more_read = (*read, reads) if reads else read
                more_written = (*written, writes) if writes else written
                todo.append((to, more_read, more_written, seen | {to}))
    return found


def _said(graph: Graph, written: tuple[int, ...]) -> str:
    return " ".join(graph.words[number - 1] for number in written)


def _sounds(text: str, lexicon: Lexicon) -> set[tuple[int, ...]]:
    """Return every sequence of phones that says ``text``, silences left out."""
    choices = [lexicon.pronunciations(word) for word in text.split()]
    return {tuple(phone for way in ways for phone in way) for ways in product(*choices)}


def test_graph_says_the_grammars_phrases_and_nothing_else(lexicon: Lexicon):
    """Its paths write every phrase, silence alone, and [unk]; no words of two phrases mix."""
    graph = compile_graph(SMALL, lexicon)

    assert {_said(graph, written) for _, written in _paths(graph)} == {*SMALL_PHRASES, "", UNKNOWN}


def test_each_phrase_sounds_in_every_way_of_its_words(lexicon: Lexicon):
    """Each phrase can be read in exactly the ways the lexicon gives."""
    graph = compile_graph(SMALL, lexicon)
    silence = lexicon.numbers[SILENCE]
    heard = defaultdict(set)
    for read, written in _paths(graph):
        phones = tuple(number // 2 for number in read if number // 2 != silence)
        heard[_said(graph, written)].add(phones)

    for text in SMALL_PHRASES:
        assert heard[text] == _sounds(text, lexicon), text


def test_every_phone_may_last(lexicon: Lexicon):
    """A state that a phone enters has a loop on the same phone."""
    graph = compile_graph(SMALL, lexicon)
    loops = {(start, reads) for start, reads, _, _, to in graph.fst.arcs if start == to}
    entered = {
        (to, reads - 1) for start, reads, _, _, to in graph.fst.arcs if start != to and reads
    }

    assert entered == loops


def test_unknown_costs_its_price_for_each_phone(lexicon: Lexicon):
    """[unk] pays once, and for every phone; phrases pay nothing but for silence or its lack."""
    graph = compile_graph(SMALL, lexicon, Costs(unknown=4, unknown_phone=7.5))
    paid = sorted({cost for _, _, _, cost, _ in graph.fst.arcs})
    first = {cost for _, _, writes, cost, _ in graph.fst.arcs if writes == len(graph.words)}

    assert paid == pytest.approx([0, Costs().silence, 7.5, Costs().no_silence, 11.5])
    assert first == {11.5}


@pytest.mark.parametrize(
    "grammar",
    [grammars.yes_no(), grammars.value("in"), grammars.value("number"), grammars.confirm("in")],
    ids=lambda grammar: grammar.name,
)
def test_graph_and_automaton_agree_on_our_grammars(grammar: Grammar, lexicon: Lexicon):
    """A walk at random through the graph is a phrase, and a phrase at random can be walked."""
    graph = compile_graph(grammar, lexicon)
    leaving = defaultdict(list)
    for start, reads, writes, _, to in graph.fst.arcs:
        if start != to:
            leaving[start].append((reads, writes, to))
    rng = random.Random(7)  # noqa: S311 - no secrets here
    for _ in range(200):
        state, written = 0, []
        while not (state in graph.fst.finals and rng.random() < 0.5):
            choices = leaving[state]
            if not choices:
                break
            _, writes, state = rng.choice(choices)
            written += [writes] if writes else []
        text = _said(graph, tuple(written))

        assert state in graph.fst.finals
        assert text in ("", UNKNOWN) or grammar.automaton.accepts(text.split()), text
    for _ in range(200):
        words = grammar.phrase.pick(rng)

        assert _walkable(graph, leaving, words), words


def _walkable(graph: Graph, leaving: dict, words: list[str]) -> bool:
    numbers = {word: number for number, word in enumerate(graph.words, start=1)}
    wanted = [numbers[word] for word in words]
    seen = {(0, 0)}
    todo = [(0, 0)]
    while todo:
        state, at = todo.pop()
        if at == len(wanted) and state in graph.fst.finals:
            return True
        for _, writes, to in leaving[state]:
            if not writes:
                step = (to, at)
            elif at < len(wanted) and writes == wanted[at]:
                step = (to, at + 1)
            else:
                continue
            if step not in seen:
                seen.add(step)
                todo.append(step)
    return False


def test_whole_sound_of_a_phrase_is_set_in_silence(lexicon: Lexicon):
    """Only a path with silence before and behind is free of the price for lacking it."""
    graph = compile_graph(SMALL, lexicon)
    first = [(reads, cost) for start, reads, _, cost, _ in graph.fst.arcs if start == 0]
    after_silence = {
        to for _, reads, _, _, to in graph.fst.arcs if reads == 2 * lexicon.numbers[SILENCE]
    }
    free = {state for state, cost in graph.fst.finals.items() if cost == 0}

    assert sorted(first) == [(0, Costs().no_silence), (2 * lexicon.numbers[SILENCE], 0)]
    assert free
    assert free <= after_silence


def test_missing_words_are_all_named(lexicon: Lexicon):
    """A grammar with words the lexicon lacks is refused, and every such word is named."""
    grammar = Grammar("odd", any_of(say("yes zyxx", 1), say("qwrt", 2)))
    with pytest.raises(ModelProblem, match="qwrt, zyxx"):
        compile_graph(grammar, lexicon)


def _read(raw: bytes) -> tuple[int, dict[int, float], list[tuple[int, int, int, float, int]]]:
    """Read an OpenFst vector file: start state, final costs, arcs."""
    at = 4
    for _ in range(2):
        (length,) = struct.unpack_from("<i", raw, at)
        at += 4 + length
    _, _, _, start, states, _ = struct.unpack_from("<iiQqqq", raw, at)
    at += struct.calcsize("<iiQqqq")
    finals, arcs = {}, []
    for state in range(states):
        final, count = struct.unpack_from("<fq", raw, at)
        at += 12
        if final != float("inf"):
            finals[state] = final
        for _ in range(count):
            reads, writes, cost, to = struct.unpack_from("<iifi", raw, at)
            arcs.append((state, reads, writes, cost, to))
            at += 16
    assert at == len(raw)
    return start, finals, arcs


def test_file_holds_what_was_built():
    """The bytes read back as the same states and arcs, sorted by what they read."""
    fst = Fst()
    for _ in range(4):
        fst.state()
    fst.arc(0, 5, 9, 0.5, 1)
    fst.arc(0, 2, 0, 0.0, 3)
    fst.skip(1, 1.5, 3)
    fst.final(3)
    fst.final(1, 2.0)

    assert _read(fst.to_bytes()) == (
        0,
        {1: 2.0, 3: 0.0},
        [(0, 2, 0, 0.0, 3), (0, 5, 9, 0.5, 1), (1, 0, 0, 1.5, 3)],
    )
