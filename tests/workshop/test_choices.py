"""Jobs that exclude each other and jobs that need each other: from the draft to the last answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.models import DueBack, Finding
from tests.workshop.choices import MEANS, PROPER_BY, TITLE, Chosen, a_choice
from tests.workshop.spring import AT
from workshop.models import Decision, Job, JobNeed, OptionGroup, Quote
from workshop.quoting.choices import (
    advised,
    contradiction,
    dependents_of,
    follows_approval,
    follows_refusal,
    needed_by,
)
from workshop.quoting.document import totals_of_jobs
from workshop.services.alternatives import job_alternative, job_propose_again
from workshop.services.answers import approved_totals
from workshop.services.decisions import AlreadyDecided, choice_decline
from workshop.services.jobs import OperationSheet
from workshop.services.needs import job_needs_set
from workshop.services.option_groups import option_group_dissolve, option_group_set
from workshop.services.quotes import (
    quote_change,
    quote_document,
    quote_draft,
    quote_prepare,
    quote_send,
    quote_supersede,
)
from workshop.services.work import job_done, job_start
from yard.models import Mail
from yard.refusals import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def chosen() -> Chosen:
    return a_choice()


def field_of(call: Callable[[], object]) -> str:
    with pytest.raises(Refused) as refused:
        call()
    return refused.value.field


# --- making them ------------------------------------------------------------------------------------


def test_another_way_stays_as_the_manager_made_it_when_the_worker_proposes_again(chosen: Chosen) -> None:
    hold = chosen.jobs["hold"]
    before = list(hold.operations.values_list())
    assert {job.pk for job in chosen.spring.propose()} == {job.pk for job in chosen.jobs.values()}
    assert list(hold.operations.values_list()) == before
    chosen.sent("hold")
    chosen.spring.propose()
    assert chosen.states() == {"proper": "proposed", "hold": "quoted", "coats": "proposed", "beside": "proposed"}
    assert Job.objects.count() == 4


def test_another_way_is_on_the_jobs_own_findings_and_says_what_it_means(chosen: Chosen) -> None:
    proper, strange = chosen.jobs["proper"], Finding.objects.get(operations__job=chosen.jobs["beside"])
    own = Finding.objects.filter(operations__job=proper).distinct().get()

    def make(finding: Finding = own, means: str = MEANS, job: Job = proper) -> Job:
        sheet = OperationSheet("SEAM", finding.pk, Decimal(1))
        return job_alternative(
            job=job, by=chosen.spring.manager, at=AT, title="Hold it", operations=[sheet], means=means
        )

    assert field_of(lambda: make(strange)) == "operations.0.finding"
    assert field_of(lambda: make(means=" ")) == "means"
    assert field_of(lambda: make(job=chosen.jobs["hold"])) == "job"
    assert make().alternative_to == proper  # a third way


def test_two_ways_without_a_choice_do_not_go_out(chosen: Chosen) -> None:
    quote = chosen.draft()
    option_group_dissolve(group=OptionGroup.objects.get())
    assert field_of(lambda: quote_prepare(quote=quote, at=AT)) == f"jobs.{chosen.jobs['hold'].pk}"


def test_a_choice_is_kept_when_jobs_change_and_falls_with_its_second_way(chosen: Chosen) -> None:
    quote = chosen.draft()
    quote_change(quote=quote, at=AT, jobs=[chosen.jobs[name] for name in ("hold", "beside", "proper", "coats")])
    assert quote.lines.get(recommended=True).job == chosen.jobs["proper"]
    assert OptionGroup.objects.get().lines.count() == 2
    quote_change(quote=quote, at=AT, jobs=[chosen.jobs["hold"]])
    assert not OptionGroup.objects.exists()
    assert not quote.lines.get().recommended


def test_what_can_not_be_a_choice_is_refused(chosen: Chosen) -> None:
    quote, jobs = chosen.draft(), chosen.jobs
    ways = [jobs["proper"], jobs["hold"]]
    assert field_of(lambda: option_group_set(quote=quote, title=" ", jobs=ways)) == "title"
    assert field_of(lambda: option_group_set(quote=quote, title="One", jobs=ways[:1])) == "jobs"
    assert field_of(lambda: option_group_set(quote=quote, title="x", jobs=ways, recommended=jobs["beside"])) == (
        "recommended"
    )
    # coats need the proper repair: the two can't exclude each other
    option_group_set(quote=quote, title="Wrong", jobs=[jobs["proper"], jobs["coats"]])
    assert field_of(lambda: quote_prepare(quote=quote, at=AT)).startswith("jobs.")
    sent = quote_send(quote=_mended(chosen), by=chosen.spring.manager, at=AT)
    assert field_of(lambda: option_group_set(quote=sent, title="Late", jobs=ways)) == "state"


def _mended(chosen: Chosen) -> Quote:
    option_group_dissolve(group=OptionGroup.objects.get(title="Wrong"))
    chosen.choose()
    return chosen.quote


def test_needs_do_not_go_in_a_ring_and_stay_on_the_boat(chosen: Chosen) -> None:
    jobs, other = chosen.jobs, a_choice().jobs["beside"]
    job_needs_set(job=jobs["beside"], needed=[jobs["coats"]])
    for job, needed in (("proper", jobs["beside"]), ("proper", jobs["proper"]), ("hold", jobs["proper"])):
        assert field_of(lambda job=job, needed=needed: job_needs_set(job=jobs[job], needed=[needed])) == (  # type: ignore[misc]
            f"needs.{needed.pk}"
        )
    assert field_of(lambda: job_needs_set(job=jobs["coats"], needed=[other])) == f"needs.{other.pk}"
    assert JobNeed.objects.filter(job__inspection=chosen.spring.inspection).count() == 2


def test_what_a_job_needs_must_be_to_be_had(chosen: Chosen) -> None:
    quote = chosen.draft("coats")
    assert field_of(lambda: quote_prepare(quote=quote, at=AT)) == f"jobs.{chosen.jobs['coats'].pk}.needs"


# --- what is shown ----------------------------------------------------------------------------------


def test_the_sums_never_add_two_ways(chosen: Chosen) -> None:
    document = quote_document(chosen.sent())
    net = {name: document.job(job.pk).net for name, job in chosen.jobs.items()}
    assert document.totals.net == net["proper"] + net["coats"] + net["beside"]
    hold = document.job(chosen.jobs["hold"].pk)
    assert (hold.option, hold.recommended, hold.means, hold.proper_by) == (TITLE, False, MEANS, PROPER_BY)
    assert document.job(chosen.jobs["coats"].pk).needs == (chosen.jobs["proper"].pk,)
    with pytest.raises(ValueError, match="totals"):
        type(document)(
            **{
                **{name: getattr(document, name) for name in document.__dataclass_fields__},
                "totals": totals_of_jobs(document.jobs, "EUR"),
            }
        )


def test_where_holding_is_advised_what_needs_the_repair_is_in_no_sum(chosen: Chosen) -> None:
    quote, jobs = chosen.draft(), chosen.jobs
    option_group_set(quote=quote, title=TITLE, jobs=[jobs["proper"], jobs["hold"]], recommended=jobs["hold"])
    document = quote_prepare(quote=quote, at=AT).document
    assert {job.id for job in document.as_advised} == {jobs["hold"].pk, jobs["beside"].pk}


# --- deciding ---------------------------------------------------------------------------------------


def test_a_yes_to_one_way_settles_the_other_and_says_why(chosen: Chosen) -> None:
    chosen.sent()
    word = chosen.say("proper", "approve")
    assert chosen.states() == {"proper": "approved", "hold": "not_chosen", "coats": "quoted", "beside": "quoted"}
    other = chosen.line("hold").decisions.get()
    assert (other.verdict, other.because, other.digest) == ("not_chosen", word, chosen.quote.digest)
    assert Finding.objects.get(component__name="Mast step").state == Finding.State.OPEN
    with pytest.raises(AlreadyDecided, match="another way was chosen"):
        chosen.say("hold", "approve")


def test_holding_leaves_out_what_needs_the_repair_if_the_decider_says_so(chosen: Chosen) -> None:
    chosen.sent()
    assert field_of(lambda: chosen.say("hold", "approve")) == "along"
    assert chosen.words() == {}
    chosen.say("hold", "approve", "coats")
    assert chosen.words() == {"proper": "not_chosen", "hold": "approve", "coats": "not_chosen"}
    assert Finding.objects.get(component__name="Mast partners").state == Finding.State.DEFERRED
    assert Finding.objects.get(component__name="Mast step").state == Finding.State.OPEN


def test_a_job_is_not_approved_without_what_it_needs(chosen: Chosen) -> None:
    chosen.sent()
    assert field_of(lambda: chosen.say("coats", "approve")) == "along"
    assert field_of(lambda: chosen.say("coats", "approve", "proper")) == "along"  # the other way is left out then
    chosen.say("coats", "approve", "proper", "hold")
    assert chosen.words() == {"coats": "approve", "proper": "approve", "hold": "not_chosen"}
    assert approved_totals(chosen.quote).net == sum(
        quote_document(chosen.quote).job(chosen.jobs[name].pk).net for name in ("coats", "proper")
    )


def test_a_no_to_what_others_need_takes_them_along(chosen: Chosen) -> None:
    chosen.sent()
    assert field_of(lambda: chosen.say("proper", "decline")) == "along"
    chosen.say("proper", "decline", "coats")
    assert chosen.words() == {"proper": "decline", "coats": "decline"}
    assert Finding.objects.get(component__name="Mast step").state == Finding.State.OPEN  # it may still be held
    chosen.say("hold", "approve")
    assert chosen.states()["hold"] == "approved"


def test_none_of_the_ways_declines_all_of_them_once(chosen: Chosen) -> None:
    quote = chosen.sent()
    group, owner = OptionGroup.objects.get(), chosen.spring.boat.decider_owner

    def none(**more: object) -> Decision:
        return choice_decline(group=group, digest=quote.digest, at=AT, owner=owner, **more)  # type: ignore[arg-type]

    assert field_of(none) == "along"
    none(along=[chosen.line("coats").pk])
    assert chosen.words() == {"proper": "decline", "hold": "decline", "coats": "decline"}
    assert Finding.objects.get(component__name="Mast step").state == Finding.State.DECLINED
    with pytest.raises(AlreadyDecided) as again:
        none(along=[chosen.line("coats").pk])
    assert again.value.decision.verdict == "decline"


def test_none_of_the_ways_of_what_is_unsafe_needs_the_tick_and_another_way_does_not() -> None:
    chosen = a_choice(severity=1)
    quote = chosen.sent("proper", "hold")
    group, owner = OptionGroup.objects.get(), chosen.spring.boat.decider_owner
    assert field_of(lambda: choice_decline(group=group, digest=quote.digest, at=AT, owner=owner)) == "read"
    chosen.say("hold", "approve", read=False)
    assert chosen.words() == {"proper": "not_chosen", "hold": "approve"}


def test_the_receipt_tells_what_was_not_chosen_and_when_the_repair_is_due(chosen: Chosen) -> None:
    quote = chosen.sent("proper", "hold")
    chosen.say("hold", "approve")
    quote.refresh_from_db()
    assert quote.state == Quote.State.DECIDED
    mail = Mail.objects.get(key=f"receipt:{quote.pk}")
    assert "Not chosen: another way was, on 6 April 2027" in mail.text
    assert "the proper one is due by 15 October 2027" in mail.text


def test_a_needed_job_of_another_quote_is_agreed_there_first(chosen: Chosen) -> None:
    first = chosen.sent("proper", "hold")
    second = quote_draft(
        inspection=chosen.spring.inspection, jobs=[chosen.jobs["coats"]], by=chosen.spring.manager, at=AT
    )
    chosen.quote = quote_send(quote=second, by=chosen.spring.manager, at=AT)
    part = quote_document(chosen.quote).jobs[0]
    assert [(each.title, each.quote) for each in part.builds_on] == [(chosen.jobs["proper"].title, first.number)]
    with pytest.raises(Refused, match=f"quote {first.number}"):
        chosen.say("coats", "approve")
    chosen.quote = first
    chosen.say("proper", "approve")
    chosen.quote = Quote.objects.get(pk=second.pk)
    chosen.say("coats", "approve")
    assert chosen.states()["coats"] == "approved"


def test_a_successor_keeps_the_choice(chosen: Chosen) -> None:
    quote = chosen.sent()
    chosen.say("beside", "decline")
    draft = quote_supersede(quote=quote, by=chosen.spring.manager, at=AT)
    assert draft.lines.get(recommended=True).job == chosen.jobs["proper"]
    assert draft.option_groups.get().title == TITLE
    assert {job.id for job in quote_prepare(quote=draft, at=AT).document.as_advised} == {
        chosen.jobs["proper"].pk,
        chosen.jobs["coats"].pk,
    }


def test_what_only_holds_is_no_repair_and_the_place_is_due_back(chosen: Chosen) -> None:
    chosen.sent("proper", "hold")
    chosen.say("hold", "approve")
    job_start(job=chosen.jobs["hold"], by=chosen.spring.technician, at=AT)
    job_done(job=chosen.jobs["hold"], by=chosen.spring.technician, at=AT)
    finding = Finding.objects.get(component__name="Mast step")
    assert finding.state == Finding.State.HELD
    assert DueBack.objects.get(finding=finding, ended_at=None).due_on == PROPER_BY
    again = job_propose_again(job=chosen.jobs["proper"], by=chosen.spring.manager, at=AT)
    chosen.spring.propose()
    again.refresh_from_db()
    assert again.state == Job.State.PROPOSED


def test_the_database_holds_one_yes_per_choice(chosen: Chosen) -> None:
    quote = chosen.sent()
    chosen.say("proper", "approve")
    other = chosen.line("hold")
    Decision.objects.filter(line=other).delete()
    rival = Decision(
        yard=chosen.spring.yard, line=other, verdict="approve", digest=quote.digest, decided_at=AT,
        owner=chosen.spring.boat.decider_owner, option_group=other.option_group,
    )  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        rival.save()


# --- the rules by themselves -------------------------------------------------------------------------


@dataclass(frozen=True)
class Piece:
    id: int
    option: str = ""
    recommended: bool = False
    needs: tuple[int, ...] = ()


@st.composite
def quotes(draw: st.DrawFn) -> tuple[Piece, ...]:
    count = draw(st.integers(2, 7))
    options = draw(st.lists(st.sampled_from(["", "", "a", "b"]), min_size=count, max_size=count))
    firsts = {option: options.index(option) for option in options if option}
    return tuple(
        Piece(
            number,
            option,
            bool(option) and firsts[option] == number,
            tuple(draw(st.sets(st.integers(0, count - 1), max_size=2))),
        )
        for number, option in enumerate(options)
    )


@settings(max_examples=300, deadline=None, database=None)
@given(quotes(), st.lists(st.tuples(st.integers(0, 6), st.booleans()), max_size=10))
def test_whatever_is_said_no_two_ways_and_nothing_without_what_it_needs(
    pieces: tuple[Piece, ...], words: list[tuple[int, bool]]
) -> None:
    if contradiction(pieces) is not None:
        return
    said: dict[int, str] = {}
    for number, yes in words:
        if number >= len(pieces) or number in said:
            continue
        undecided = {piece.id for piece in pieces if piece.id not in said}
        follows = (follows_approval if yes else follows_refusal)(number, pieces, undecided)
        settled = [
            number,
            *follows.approved,
            *follows.declined,
            *follows.rivals,
            *follows.instead,
            *follows.ruled_out,
        ]
        assert len(settled) == len(set(settled))
        assert undecided.issuperset(settled)
        said |= (
            dict.fromkeys(settled, "no") | dict.fromkeys(follows.approved, "yes") | {number: "yes" if yes else "no"}
        )
        approved = {each for each, word in said.items() if word == "yes"}
        for piece in pieces:
            if piece.id in approved:
                assert approved.issuperset(piece.needs)
        taken = [piece.option for piece in pieces if piece.option and piece.id in approved]
        assert len(taken) == len(set(taken))
        lost = {each for each, word in said.items() if word == "no"}
        assert lost.issuperset(dependents_of(lost, pieces))
    advice = advised(pieces)
    there = {piece.id for piece in advice}
    assert all(there.issuperset(piece.needs) for piece in advice)
    assert all(piece.id not in needed_by(piece.id, pieces) for piece in pieces)
