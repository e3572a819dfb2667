"""Words of strips: what stands at which jack, apart, alike everywhere, and what cannot fit."""

from __future__ import annotations

import random
from itertools import combinations, product

import pytest

from slinediag.model.labels import jack_label
from slinediag.papers.glossary import LEAST_HEIGHT, bundled, capitals
from slinediag.papers.plant_words import plant_words
from slinediag.papers.setting import NARROWEST, fits
from slinediag.papers.shortening import confusable, skeleton
from slinediag.papers.windows import cell_of
from slinediag.papers.wording import word_bay
from tests.builders import jack, plant
from tests.papers.samples import sample

BAYS = [(name, bay) for name in ("quillmoor", "larkfen") for bay in sample(name).bays]


@pytest.mark.parametrize(("name", "bay_id"), BAYS)
def test_every_label_stands_at_its_own_jack(name: str, bay_id: str) -> None:
    facility = sample(name)
    bay = facility.bays[bay_id]
    wording = word_bay(facility, bay)
    reads = {j: words for lettered in wording.lettered for j, words in lettered.reads.items()}
    full = {form: word for word, form in wording.key.items()}
    for j in bay.jacks():
        label = jack_label(facility, j)
        if not label:
            assert j not in reads
            continue
        spelled = [full.get(word, word) for word in reads[j].split()]
        # IN or OUT may be added to tell two jacks of one label apart; nothing else changes.
        without = [word for word in spelled if word not in ("IN", "OUT")]
        assert capitals(label).split() in (spelled, without)


@pytest.mark.parametrize(("name", "bay_id"), BAYS)
def test_no_two_read_alike_but_jacks_of_one_mult(name: str, bay_id: str) -> None:
    facility = sample(name)
    wording = word_bay(facility, facility.bays[bay_id])
    mult = {j: m.id for m in facility.mults.values() for j in m.jacks}
    seen: dict[str, str] = {}
    for lettered in wording.lettered:
        for j, words in lettered.reads.items():
            who = mult.get(j, str(j))
            assert seen.setdefault(words, who) == who
    assert wording.proven


@pytest.mark.parametrize(("name", "bay_id"), BAYS)
def test_labels_are_at_least_2_5_mm_high_and_hold_to_their_cells(name: str, bay_id: str) -> None:
    facility = sample(name)
    wording = word_bay(facility, facility.bays[bay_id])
    listed = {misfit.jacks for misfit in wording.misfits}
    for lettered in wording.lettered:
        if lettered.field.jacks in listed:
            continue
        assert lettered.height >= LEAST_HEIGHT
        assert lettered.setting is not None
        assert lettered.setting.factor >= NARROWEST
        for line in lettered.setting.lines:
            assert lettered.cell.left <= line.left <= line.right <= lettered.cell.right


def test_what_does_not_fit_is_listed_with_what_would() -> None:
    facility = plant(
        """
        equipment:
          X: {name: Box, label: QUADRAPHONIC JOYSTICK, outputs: [FRONTLEFT]}
        bays:
          PB: {name: Bay, points: {1: {top: X.FRONTLEFT}}}
        """
    )
    (misfit,) = word_bay(facility, facility.bays["PB"]).misfits
    assert misfit.jacks == (jack("PB.T1"),)
    assert misfit.label == "QUADRAPHONIC JOYSTICK FRONTLEFT"
    assert "label_top in three lines of 4 letters" in misfit.cure
    assert "a short form of QUADRAPHONIC and of JOYSTICK and of FRONTLEFT" in misfit.cure


def test_a_cure_by_pitch_is_true() -> None:
    sections = """
        equipment: {{X: {{name: Box, label: QUADRILLE, outputs: [O]}}}}
        bays:
          PB: {{name: Bay, positions: 4, pitch: {pitch}, points: {{1: {{top: X.O}}}}}}
        """
    tight = plant(sections.format(pitch=9))
    (misfit,) = word_bay(tight, tight.bays["PB"]).misfits
    pitch = misfit.cure.rsplit("pitch of ")[1].split()[0]
    wide = plant(sections.format(pitch=pitch))
    assert word_bay(wide, wide.bays["PB"]).misfits == ()


def test_look_alikes_stay_apart() -> None:
    # TRIO and TR10 are look-alikes as filed; shortening must not make more of them.
    facility = plant(
        """
        facility_words: {}
        """.replace(
            "facility_words: {}",
            "bays: {PB: {name: Bay, positions: 2, points: {1: {label_top: OSCILLATOR}, 2: {label_top: 0SC}}}}",
        )
    )
    wording = word_bay(facility, facility.bays["PB"])
    shown = [words for lettered in wording.lettered for words in lettered.reads.values()]
    assert len({skeleton(words) for words in shown}) == len(shown)
    assert len(wording.misfits) == 1


def test_one_form_one_meaning_on_every_bay() -> None:
    facility = sample("quillmoor")
    glossary = bundled().overruled(facility.practice.abbreviations)
    for bay in facility.bays.values():
        key = word_bay(facility, bay).key
        assert len(set(key.values())) == len(key)
        for word, form in key.items():
            assert form in glossary.ways(word)


def test_a_full_row_of_hard_labels_is_proven() -> None:
    # 96 labels of three words each, drawn from the glossary: the search ends by itself.
    words = sorted(w for w, forms in bundled().forms.items() if forms)
    labels = [
        f"{words[n % len(words)]} {words[(n * 7 + 3) % len(words)]} {n + 1}" for n in range(96)
    ]
    points = "\n".join(
        f"      {n + 1}: {{label_top: {labels[n]}, label_bottom: {labels[n + 48]}}}"
        for n in range(48)
    )
    facility = plant(f"bays:\n  PB:\n    name: Bay\n    points:\n{points}\n")
    wording = word_bay(facility, facility.bays["PB"])
    assert wording.proven


def test_the_key_tells_short_forms_that_are_filed_as_well() -> None:
    facility = plant(
        """
        bays: {PB: {name: Bay, positions: 3, points: {1-3: {label_top: [PGM SND, MIC IN, TURNTABLE]}}}}
        """
    )
    wording = word_bay(facility, facility.bays["PB"])
    assert dict(wording.filed) == {"MIC": "MICROPHONE", "PGM": "PROGRAMME", "SND": "SEND"}


@pytest.mark.parametrize("seed", range(25))
def test_no_better_shortening_of_a_small_row_exists(seed: int) -> None:
    """A row as it is really set, in its own cells, against every choice of short forms."""
    draw = random.Random(seed)
    known = sorted(word for word, forms in bundled().forms.items() if forms)
    words = draw.sample(known, 6)
    labels = [" ".join(draw.sample(words, draw.choice((1, 2, 3)))) for _ in range(6)]
    points = ", ".join(f"{n}: {{label_top: {label} {n}}}" for n, label in enumerate(labels, 1))
    pitch = draw.choice((8, 9.13, 12))
    facility = plant(
        f"bays: {{PB: {{name: Bay, positions: 6, pitch: {pitch}, points: {{{points}}}}}}}"
    )
    found = plant_words(facility).bays["PB"]
    glossary = plant_words(facility).glossary
    fit = {
        field: fits(field, cell_of(found.panel, field, LEAST_HEIGHT), LEAST_HEIGHT)
        for field in found.fields
    }
    every = sorted({word for field in found.fields for word in field.words})
    ways = [glossary.ways(word) for word in every]

    def cost(forms: tuple[str, ...]) -> tuple[int, int, int]:
        shown = dict(zip(every, forms, strict=True))
        unfit = sum(not fit[f](tuple(shown[w] for w in f.words)) for f in found.fields)
        short = [word for word in every if shown[word] != word]
        return unfit, len(short), sum(len(word) - len(shown[word]) for word in short)

    def allowed(forms: tuple[str, ...]) -> bool:
        """No two words print alike or as look-alikes, where one of them is shortened."""
        return not any(
            (a, b) != (every[i], every[j])
            and glossary.meaning(every[i]) != glossary.meaning(every[j])
            and confusable(a, b, glossary)
            for (i, a), (j, b) in combinations(enumerate(forms), 2)
        )

    best = min(cost(forms) for forms in product(*ways) if allowed(forms))
    chosen = tuple(found.short.printed[word] for word in every)
    assert allowed(chosen)
    assert cost(chosen) == best
