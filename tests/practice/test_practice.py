"""A practice call: what is heard and answered, what is never told before the decision, and how it is marked."""

import shutil
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from practice_calls import CASES, KNOWLEDGE, SHEETS, best_decision, called, sheet_callers

from saltriage.case import Case, load_case
from saltriage.errors import UsageRefused
from saltriage.exam import Mode, files_of, read_papers, sit
from saltriage.practice import Decision, PracticeLibrary, PracticeTalk, caller_of_case, marked
from saltriage.practice.callers import MOST_NUMBER
from saltriage.practice.expert import expert_way
from saltriage.practice.marking import first_steps
from saltriage.practice.searching import causes_shelf, questions_shelf, steps_shelf
from saltriage.practice.talk import effort_of
from saltriage.practice.text_form import answer_lines, opening_lines, score_lines

numbers = st.integers(1, 400)
COLD_AND_LEFT_OFF = PracticeLibrary(KNOWLEDGE, CASES).number_of("cold-and-left-off")
QUESTIONS = sorted(questions_shelf(KNOWLEDGE).named)


def before_decision(talk, asked):
    """All that a trainee sees before he decides."""
    lines = [*opening_lines(talk.caller), talk.caller.name]
    for text in asked:
        talk, answer = talk.ask(text)
        lines += answer_lines(answer)
    return "\n".join(lines)


@settings(max_examples=30, deadline=None)
@given(number=numbers)
@example(number=COLD_AND_LEFT_OFF)
def test_the_program_as_trainee_gets_full_marks(number):
    """Law: on every call whose first cause is one of the key's; where it is not, the cause is wrong and nothing else.

    A case that expects two causes asks for both among the first three, and not for one of them in the first place.
    """
    caller = called(number)
    decision = best_decision(caller)
    agrees = not caller.truth or decision.cause in caller.truth

    score = marked(PracticeTalk(caller), decision)

    failed = [each.name for each in score.parts if each.verdict not in ("right", "unscored")]
    assert failed == ([] if agrees else ["cause"])
    assert score.is_full == agrees
    assert score.missed == ()


def test_the_program_disagrees_with_the_key_of_few_calls():
    """The law above would hold of a program that is never right."""
    callers = [called(number) for number in range(1, 61)]

    wrong = [each.name for each in callers if each.truth and best_decision(each).cause not in each.truth]

    assert len(wrong) <= 3


@settings(max_examples=30, deadline=None)
@given(
    number=numbers, cause=st.sampled_from(sorted(KNOWLEDGE.causes)), first=st.sampled_from(sorted(KNOWLEDGE.actions))
)
def test_a_missed_danger_is_always_named_first(number, cause, first):
    """Law: whatever else was decided; and none is named where there is none or it was seen."""
    caller = called(number)

    blind = marked(PracticeTalk(caller), Decision(cause, first, danger=False))
    seeing = marked(PracticeTalk(caller), Decision(cause, first, danger=True))

    line = next(iter(score_lines(caller, blind)))
    if caller.is_dangerous:
        assert line.startswith(f"DANGER MISSED: {caller.whole.stops[0].title.split()[0]}")
        assert blind.parts[0].verdict == "missed"
        assert not blind.is_full
    else:
        assert line.startswith("SCORE: ")
        assert seeing.parts[0].verdict == "needless"
    assert seeing.missed == ()
    assert not next(iter(score_lines(caller, seeing))).startswith("DANGER MISSED")


@settings(max_examples=30, deadline=None)
@given(number=numbers, asked=st.lists(st.sampled_from(QUESTIONS), max_size=12), other=st.data())
def test_nothing_before_the_decision_depends_on_the_truth(number, asked, other):
    """Law: with another truth and other marks the trainee sees the very same."""
    caller = called(number)
    causes = tuple(other.draw(st.lists(st.sampled_from(sorted(KNOWLEDGE.causes)), max_size=2)))
    changed = replace(
        caller, truth=causes, also_ok=causes[:1], danger=other.draw(st.booleans()), forbidden=frozenset(("add-salt",)),
        needed=frozenset(("add-salt",)),
    )  # fmt: skip

    assert before_decision(PracticeTalk(caller), asked) == before_decision(PracticeTalk(changed), asked)


def test_no_answer_names_the_cause():
    """Of calls of the library and of sheets: neither id nor title of what is wrong is in any answer, nor the case's id.

    The opening of a sheet is the caller's, who may well guess at it; he is left out.
    """
    shelf = questions_shelf(KNOWLEDGE)
    seen = 0
    for caller in [*map(called, range(1, 60)), *sheet_callers()[:30]]:
        answers = "\n".join([caller.name, *map(caller.answer, QUESTIONS), *caller.on_file]).casefold()
        for id in caller.truth:
            if id in KNOWLEDGE.causes:
                seen += 1
                assert id not in answers
                assert KNOWLEDGE.causes[id].title.casefold() not in answers
    assert seen > 30
    assert all("salt-too-low" not in each.id for each in shelf.named.values())


def test_the_caller_says_what_the_case_holds_and_no_more():
    """Yes, no, a number with its test; everything else he does not know."""
    case = Case.from_data(
        {
            "case": "invented",
            "symptoms": {"low-salt-warning": "yes", "heavy-rain": "no", "plates-scaled": "unknown"},
            "readings": {"salt": {"value": 2400, "unit": "mg/L", "method": "drop-test"}, "ph": 7.4},
            "pool": {"volume": "42 m3", "surface": "vinyl"},
            "expect": {"first": "salt-too-low"},
        },
        KNOWLEDGE,
    )
    caller = caller_of_case(case, "call 1", KNOWLEDGE)

    assert caller.opening == "Low-salt warning."
    assert caller.on_file == ("volume: 42 m3", "surface: vinyl")
    assert caller.answer("low-salt-warning") == "yes"
    assert caller.answer("heavy-rain") == "no"
    assert caller.answer("plates-scaled") == caller.answer("tingle") == caller.answer("free-chlorine") == ""
    assert caller.answer("salt") == "2400 mg/L, drop-count test for chloride"
    assert caller.answer("ph") == "7.4"


@pytest.mark.parametrize("expect", [{}, {"advise": ["add-salt"]}])
def test_a_case_without_cause_or_danger_is_no_practice(expect):
    data = {"case": "a", "symptoms": {"low-salt-warning": "yes"}, "expect": expect}

    assert caller_of_case(Case.from_data(data, KNOWLEDGE), "call 1", KNOWLEDGE) is None


ASKED = {
    "is the low salt light on?": "low-salt-warning",
    "Did it rain?": "heavy-rain",
    "salt": "salt",
    "what is the salt level": "salt",
    "how much free chlorine": "free-chlorine",
    "stabiliser?": "cyanuric-acid",
    "are the plates scaled": "plates-scaled",
    "low-salt-warning": "low-salt-warning",
}


@pytest.mark.parametrize(("text", "id"), ASKED.items())
def test_plain_questions_are_understood(text, id):
    """First of what is found; whether it is answered at once hangs on how much better it is than the next."""
    assert questions_shelf(KNOWLEDGE).search(text).found[0].id == id


@pytest.mark.parametrize("text", ["", "?", "...", "🐟", "x" * 5000, "\x00", "asdf qwer", "1 2 3"])
def test_nonsense_is_no_question(text):
    """Whatever is typed is no error, and nothing is answered that was not asked."""
    talk, answer = PracticeTalk(called(1)).ask(text)

    assert answer.question is None
    assert talk.asked_ids == ()


@settings(max_examples=80, deadline=None)
@given(text=st.text(max_size=80))
def test_any_text_is_searched(text):
    for shelf in (questions_shelf(KNOWLEDGE), causes_shelf(KNOWLEDGE), steps_shelf(KNOWLEDGE)):
        searched = shelf.search(text)
        assert len(searched.found) <= 6
        assert searched.meant is None or searched.meant == searched.found[0]


@pytest.mark.parametrize("shelf", [questions_shelf, causes_shelf, steps_shelf])
def test_everything_is_found_by_id_and_title(shelf):
    shelf = shelf(KNOWLEDGE)
    for id, named in shelf.named.items():
        assert shelf.search(id).meant == named
        assert shelf.search(named.title).meant.title == named.title


def called_with(wanted):
    """The first call of the library that is so; which number it has changes with every case that is added."""
    return next(caller for caller in map(called, range(1, 200)) if wanted(caller))


def test_a_question_asked_twice_counts_once():
    caller = called_with(lambda each: each.case.symptoms.get("low-salt-warning"))
    talk, first = PracticeTalk(caller).ask("low-salt-warning")
    again, answer = talk.ask("low-salt-warning")

    assert (first.answer, answer.answer) == ("yes", "yes")
    assert (first.again, answer.again) == (False, True)
    assert again.asked_ids == ("low-salt-warning",)
    assert again.minutes == effort_of("low-salt-warning", KNOWLEDGE) > 0


def test_parts_are_judged_each_by_itself():
    """A call without a danger, of one cause, with steps to take."""
    caller = called_with(lambda each: len(each.truth) == 1 and len(first_steps(each)) > 1 and not each.whole.stops)
    steps = first_steps(caller)
    (truth,) = caller.truth

    def verdicts(caller, cause, first, danger=False):
        return [each.verdict for each in marked(PracticeTalk(caller), Decision(cause, first, danger)).parts]

    assert verdicts(caller, truth, steps[0]) == ["right", "right", "right"]
    assert verdicts(caller, "", steps[1]) == ["right", "wrong", "acceptable"]
    assert verdicts(replace(caller, also_ok=("salt-too-low",)), "salt-too-low", "")[1:] == ["acceptable", "wrong"]
    assert verdicts(replace(caller, forbidden=frozenset(steps)), truth, steps[0])[2] == "harmful"
    other = next(id for id in KNOWLEDGE.actions if id not in caller.forbidden | {*steps})
    assert verdicts(caller, truth, other)[2] == "wrong"
    assert verdicts(replace(caller, needed=frozenset((other,))), truth, other)[2] == "acceptable"


def test_the_programs_own_way_is_that_of_the_exam():
    """Of sheets: as many questions as in the exam's talk, in which asking back what was likely counts as one more."""
    papers = read_papers(files_of([SHEETS]), KNOWLEDGE).scored
    alike = 0
    for caller, paper in list(zip(sheet_callers(), papers, strict=True))[:12]:
        way, talk = expert_way(caller), sit(paper, Mode.talk, KNOWLEDGE).talk
        assert talk is not None
        alike += way.questions in (talk.questions - 1, talk.questions)
        assert all(len(step.ids) == len(step.asks) == len(step.answers) for step in way.steps)
    assert alike >= 10  # the clerk's form holds what a perfect listener hears


def test_the_library_gives_the_same_call_again_and_others_for_other_numbers():
    again = PracticeLibrary(KNOWLEDGE, CASES).caller(11)
    assert (again.opening, again.case, again.truth) == (called(11).opening, called(11).case, called(11).truth)
    assert len({called(number).case for number in range(1, 40)}) > 30
    for number in (0, MOST_NUMBER + 1):
        with pytest.raises(UsageRefused, match="there is no call"):
            PracticeLibrary(KNOWLEDGE, CASES).caller(number)


def test_without_cases_it_says_so(tmp_path):
    with pytest.raises(UsageRefused, match="no reference case"):
        PracticeLibrary(KNOWLEDGE, tmp_path).caller(1)


def test_a_call_is_one_of_the_reference_cases(tmp_path):
    """Its facts are the case's, without the writer's words and without its name."""
    (tmp_path / "reference").mkdir()
    source = next((CASES / "reference").rglob("scale-and-low-salt.yaml"))
    shutil.copy(source, tmp_path / "reference")
    case = load_case(source, KNOWLEDGE)

    caller = PracticeLibrary(KNOWLEDGE, tmp_path).caller(5)

    assert (caller.case.symptoms, caller.case.readings) == (case.symptoms, case.readings)
    assert (caller.case.id, caller.case.title, caller.case.story, caller.case.expect) == ("call", "", "", {})
    assert caller.truth == tuple(case.expect["both"])
    assert case.title not in before_decision(PracticeTalk(caller), QUESTIONS)


def test_a_case_has_the_number_of_its_call():
    library = PracticeLibrary(KNOWLEDGE, CASES)
    number = library.number_of("bubble-over-the-plates")

    assert library.caller(number).truth == ("gas-pocket",)
    with pytest.raises(UsageRefused, match="no-such-case"):
        PracticeLibrary(KNOWLEDGE, CASES / "nowhere").number_of("no-such-case")
