"""Equal answers are pointed out with their numbers and names, and nobody is accused."""

from dataclasses import replace

from castlab.teach.bad_examples.example_exercise import ANSWERS
from castlab.teach.marking.equal_answers import NO_PROOF, equal_groups, equal_words, same_words

IDA, OTTO = ANSWERS["ida"], ANSWERS["otto"]


def test_place_reason_and_cure_make_answers_equal_and_the_name_does_not():
    answers = [IDA, OTTO, None, replace(IDA, name="Bo", words="Other words."), replace(IDA, reason="even"),
               replace(IDA, values=dict(reversed(IDA.values.items())))]
    assert equal_groups(answers) == ((1, 4, 6),)
    assert same_words(answers) == ((1, 5, 6),)
    assert equal_groups([IDA, replace(IDA, exercise="another variant")]) == ()


def test_words_are_compared_without_capital_letters_and_nobody_without_words_copied():
    answers = [replace(IDA, words="A wide  feeder"), replace(OTTO, words="a WIDE feeder"),
               replace(IDA, words=""), replace(OTTO, words="")]
    assert same_words(answers) == ((1, 2),)


def test_they_are_named_and_marks_stay():
    assert equal_words([IDA, None, replace(IDA, name="Bo"), replace(IDA, name="Cy", words="")]) == (
        "Same place, reason and cure: 1 Ida, 3 Bo and 4 Cy.",
        "Word for word the same in their own words: 1 Ida and 3 Bo.", NO_PROOF)
    assert equal_words([IDA, OTTO, None]) == ()
