"""Thinners at the same job: shares, money, tie prices, what is refused."""

import time
from pathlib import Path

import builders
import numpy as np
import pytest
import seeded

from econ.answers.comparison_document import machine_named, thinners_document
from econ.farm.files import from_document, load
from econ.farm.prepare import prepare, prepare_whole
from econ.farm.schema import Scenario
from econ.fuel.substances import DIESEL_HEATING_VALUE
from econ.fuel.viscosity import viscosity_at, viscosity_line
from econ.fuel.viscosity_band import Part, blend_line, share_at
from econ.ground.errors import ScenarioError
from econ.ground.records import replace
from econ.model.changes import with_thinners
from econ.model.equal_job import JOB_TEMPERATURE, job_of, pool_part, thinner_part
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.oil_money import entry_fee, kept_per_oil, oil_terms
from econ.questions.thinners import Comparison, Row, Scope, compare
from econ.questions.tie_prices import crossings, tie_prices, worth_at

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
QUILLMERE = next(path for path in SCENARIOS if path.stem == "quillmere")
KINDS = ("gasoline", "kerosene", "diesel", "mineral spirits")


def farm(**changes: object) -> Inputs:
    """Return a tractor on 25 % gasoline, 35 % in winter, with three more thinners on offer."""
    tractor = builders.machine(
        thinner=0, thinner_share=0.25, thinner_share_winter=builders.number(0.35)
    )
    settled = builders.inputs(
        machines=(tractor,),
        thinners=tuple(builders.thinner(kind) for kind in KINDS),
        winter_months=builders.WINTER,
        burn_order=(0,),
    )
    return replace(settled, **changes)  # type: ignore[arg-type]


def row(scope: Scope, name: str) -> Row:
    return next(gathered for gathered in scope.rows if gathered.offer.name == name)


@pytest.fixture(scope="module")
def quillmere() -> Comparison:
    return compare(prepare_whole(load(QUILLMERE)))


# --- the same job


def test_every_thinner_reaches_the_same_thickness_in_both_seasons() -> None:
    inputs = farm()
    job = job_of(inputs, 0)
    assert job is not None

    for thinner in range(len(KINDS)):
        swapped = with_thinners(inputs, {0: thinner})
        machine = swapped.machines[0]
        for season, x in enumerate((machine.thinner_share, machine.thinner_share_winter)):
            assert x is not None
            parts = (pool_part(inputs), thinner_part(inputs.thinners[thinner]))
            reached = viscosity_at(blend_line((1.0 - x, x), parts), JOB_TEMPERATURE)
            assert reached == pytest.approx(float(job.viscosity[season]), rel=1e-9)


def test_shares_to_10_cst_are_those_of_the_mass_rule() -> None:
    # Own arithmetic on ASTM D7152 mass fractions (published checks 54): 66 cSt oil to 10 cSt at
    # 40 °C; to the last digit printed.
    printed = {
        "gasoline": 23.62,
        "mineral spirits": 31.45,
        "kerosene": 37.33,
        "diesel": 47.51,
        "biodiesel": 59.78,
    }
    oil = pool_part(farm())

    for kind, share in printed.items():
        thin = thinner_part(builders.thinner(kind))
        assert 100.0 * share_at(40.0, 10.0, oil, thin) == pytest.approx(share, abs=0.006)


def test_a_thinner_of_its_own_keeps_the_share_of_the_file() -> None:
    inputs = farm()

    assert with_thinners(inputs, {0: 0}).machines == inputs.machines


def test_a_limit_is_met_at_the_fuels_temperature_by_every_thinner() -> None:
    tractor = builders.machine(thinner=0, viscosity_limit=12.0)
    inputs = farm(machines=(tractor,), fuel_temperature=np.asarray(20.0))

    for gathered in compare(inputs).scopes[0].rows:
        mild = gathered.mixes[0].seasons[0]
        assert not mild.too_thick
        thinner = thinner_part(gathered.inputs.thinners[gathered.mixes[0].thinner])
        line = blend_line((1.0 - mild.share, mild.share), (pool_part(inputs), thinner))
        assert viscosity_at(line, 20.0) == pytest.approx(12.0, rel=1e-4)


def test_gravity_fed_inline_pumps_run_on_the_shares_that_people_report() -> None:
    # Common practice, no source: 20 to 30 % gasoline for gravity-fed inline pumps, whose usual
    # limit is 12 cSt with fuel at 25 to 40 °C; 30 to 45 % kerosene for the same.
    oil = pool_part(farm())
    warmth = np.asarray([25.0, 40.0])

    gasoline = share_at(warmth, 12.0, oil, thinner_part(builders.thinner("gasoline")))
    kerosene = share_at(warmth, 12.0, oil, thinner_part(builders.thinner("kerosene")))

    assert np.all((gasoline >= 0.20) & (gasoline <= 0.30))
    assert np.all((kerosene >= 0.30) & (kerosene <= 0.45))


def test_thin_used_oil_asks_for_far_less_thinner() -> None:
    # NOAA oil data AD00696: used engine oil of 27 cSt at 40 °C and 5.9 at 100 °C, against the
    # virgin AD00697 of 66 and 10.
    thin = Part(viscosity_line(40.0, 27.0, 100.0, 5.9), np.asarray(0.885))
    thick = Part(viscosity_line(40.0, 66.0, 100.0, 10.0), np.asarray(0.877))
    gasoline = thinner_part(builders.thinner("gasoline"))

    assert share_at(40.0, 12.0, thin, gasoline) < 0.65 * share_at(40.0, 12.0, thick, gasoline)


# --- money


def test_each_row_is_the_model_run_with_that_thinner(quillmere: Comparison) -> None:
    for scope in quillmere.scopes:
        for gathered in scope.rows:
            if gathered.result is not None:
                again = evaluate(gathered.inputs).per_year("time_paid")
                assert float(gathered.result.worth) == float(again)


def test_the_kerosene_of_the_file_keeps_what_its_own_farm_file_says(
    quillmere: Comparison,
) -> None:
    # Set by hand to the equal-job shares, the same farm gives the same money.
    inputs = quillmere.inputs
    gathered = row(quillmere.scopes[1], "Bulk kerosene")
    assert gathered.result is not None
    first = gathered.inputs.machines[0]
    by_hand = replace(
        inputs,
        machines=(
            replace(
                inputs.machines[0],
                thinner=[t.name for t in inputs.thinners].index("Bulk kerosene"),
                thinner_share=first.thinner_share,
                thinner_share_winter=first.thinner_share_winter,
            ),
            *inputs.machines[1:],
        ),
    )

    assert evaluate(by_hand).per_year("time_paid") == gathered.result.worth


def test_rows_come_by_money_kept_a_year(quillmere: Comparison) -> None:
    for scope in quillmere.scopes:
        # To the cent: of equals, those that the file lists come first.
        savings = [
            round(float(gathered.result.worth), 2) for gathered in scope.rows if gathered.result
        ]
        assert savings == sorted(savings, reverse=True)


def test_ranking_by_cost_of_blend_would_mislead() -> None:
    # Diesel at the price it displaces is no help by the blend and the best by the oil.
    tractor = builders.machine(thinner=0, thinner_share=0.2)
    offered = (
        builders.thinner("kerosene", price=1.25),
        builders.thinner("diesel", price=1.1),
    )
    scope = compare(farm(machines=(tractor,), thinners=offered)).scopes[0]
    kerosene, diesel = row(scope, "Kerosene").result, row(scope, "Diesel").result
    assert kerosene is not None
    assert diesel is not None

    assert diesel.cost_per_blend["cash"] > kerosene.cost_per_blend["cash"]
    assert diesel.kept_per_oil > kerosene.kept_per_oil
    assert diesel.worth > kerosene.worth


def test_machine_costs_add_up_to_the_farms(quillmere: Comparison) -> None:
    for scope in quillmere.scopes[:1]:
        for gathered in scope.rows:
            assert gathered.result is not None
            year = evaluate(gathered.inputs).typical
            for rung in ("cash", "full"):
                whole = float(year.per_blend[rung] * year.fuel["blend"])
                scoped = float(gathered.result.cost_per_blend[rung] * gathered.result.blend)
                # The machines outside the scope burn no blend here.
                assert scoped == pytest.approx(whole, rel=1e-9)


def test_fuel_bought_and_fuel_replaced_are_all_the_machine_burns(quillmere: Comparison) -> None:
    for scope in quillmere.scopes:
        burned = sum(float(quillmere.inputs.machines[k].fuel_per_year) for k in scope.machines)
        for gathered in scope.rows:
            if gathered.result:
                total = float(gathered.result.fuel_left + gathered.result.fuel_replaced)
                assert total == pytest.approx(burned)


def test_a_monthly_limit_covers_its_share_of_the_need() -> None:
    # 1 L a month of a thinner where the model without a limit uses much more.
    offered = (builders.thinner("gasoline"), builders.thinner("kerosene", available_per_month=1.0))
    scope = compare(farm(thinners=offered)).scopes[0]
    gathered = row(scope, "Kerosene").result
    assert gathered is not None
    free = compare(farm(thinners=(offered[0], builders.thinner("kerosene")))).scopes[0]
    need = row(free, "Kerosene").result
    assert need is not None

    assert float(gathered.covered) == pytest.approx(float(gathered.thinner / need.thinner))
    assert gathered.thinner == pytest.approx(12.0)


# --- tie prices


def ties_checked(scope: Scope) -> int:
    """Run the model again at every tie of a scope and compare the two savings."""
    rows = {gathered.offer.name: gathered for gathered in scope.rows}
    checked = 0
    for tie in tie_prices(scope):
        if np.isnan(tie.price):
            continue
        moved = rows[tie.moved]
        thinner, at = np.asarray([moved.offer.listed]), np.asarray([float(tie.price)])
        other = scope.without if tie.against is None else rows[tie.against].inputs
        mine = worth_at(moved.inputs, thinner, at)[0]
        theirs = 0.0 if other is None else worth_at(other, thinner, at)[0]
        size = float(evaluate(moved.inputs).typical.savings["fuel_not_bought"])
        assert mine == pytest.approx(theirs, abs=1e-9 * (1.0 + size + abs(mine)))
        checked += 1
    return checked


def test_at_a_tie_the_model_gives_both_the_same_money(quillmere: Comparison) -> None:
    assert sum(ties_checked(scope) for scope in quillmere.scopes) > 50


def test_ties_hold_on_random_farms() -> None:
    checked = 0
    for seed in range(6):
        inputs = prepare(from_document(seeded.farm(seed), Path("farm.toml")))
        checked += sum(ties_checked(scope) for scope in compare(inputs).scopes[:2])
    assert checked > 10


def test_a_tie_stands_when_its_price_is_written_into_the_farm(quillmere: Comparison) -> None:
    # The price goes into the file itself and the whole comparison is run anew, machines served
    # in the order of today's prices, as break-evens and tipping points keep it.
    scope = quillmere.scopes[1]
    tie = next(
        t
        for t in tie_prices(scope)
        if t.moved == "Gasoline, farm tank" and t.against == "Bulk kerosene"
    )
    scenario = load(QUILLMERE)
    assert scenario._merged is not None
    document = dict(scenario._merged)
    per_gallon = float(tie.price) * 3.785411784
    document["thinners"] = [
        {**entry, "price": per_gallon} if entry["name"] == tie.moved else entry
        for entry in document["thinners"]
    ]

    written = prepare_whole(from_document(document, QUILLMERE))
    inputs = replace(written, burn_order=quillmere.inputs.burn_order)
    again = compare(inputs, only=0).scopes[0]

    gasoline, kerosene = row(again, tie.moved).result, row(again, "Bulk kerosene").result
    assert gasoline is not None
    assert kerosene is not None
    assert float(gasoline.worth) == pytest.approx(float(kerosene.worth), abs=1e-6)


def test_a_tied_price_moves_the_fuel_it_is_tied_to() -> None:
    offered = (
        builders.thinner("gasoline"),
        replace(builders.thinner("diesel", price=1.1), tied_to="farm_diesel"),
    )
    inputs = farm(thinners=offered)
    dearer = replace(
        inputs,
        prices={**inputs.prices, "farm_diesel": np.asarray(1.5)},
        thinners=(offered[0], replace(offered[1], price=np.asarray(1.5))),
    )

    moved = worth_at(inputs, np.asarray([1]), np.asarray([1.5]))

    assert moved[0] == float(evaluate(dearer).per_year("time_paid"))


def test_what_never_ties_is_said_to_be_never() -> None:
    assert np.isnan(crossings(lambda x: x + 1.0, np.linspace(0.0, 10.0, 5)))
    assert np.isnan(crossings(lambda x: 0.0 * x, np.linspace(0.0, 10.0, 5))).all()


def test_crossings_are_found_inside_at_the_ends_and_on_the_grid() -> None:
    places = np.asarray([0.0, 0.3, 1.0, 2.0])
    gathered = crossings(lambda x: (x - places[:, None]) ** 3, np.linspace(0.0, 2.0, 3))

    assert gathered == pytest.approx(places, abs=1e-4)


# --- what is refused or said


def test_a_thinner_as_thick_as_the_job_is_refused_in_words() -> None:
    tractor = builders.machine(thinner=0, thinner_share=0.95)
    offered = (builders.thinner("diesel"), builders.thinner("biodiesel"))
    scope = compare(farm(machines=(tractor,), thinners=offered)).scopes[0]
    gathered = row(scope, "Biodiesel")

    assert gathered.result is None
    assert gathered.refused is not None
    assert "as thick as the job" in gathered.refused


def test_a_thinner_not_to_be_had_is_refused_in_words() -> None:
    offered = (builders.thinner("gasoline"), builders.thinner("kerosene", available_per_month=0.0))
    gathered = row(compare(farm(thinners=offered)).scopes[0], "Kerosene")

    assert gathered.result is None
    assert gathered.refused is not None
    assert "none to be had" in gathered.refused


def test_gasoline_never_enters_a_burner(quillmere: Comparison) -> None:
    heater = next(s for s in quillmere.scopes if s.machine == 5)
    assert row(heater, "Gasoline, farm tank").result is None

    whole = row(quillmere.scopes[0], "Gasoline, farm tank")
    assert whole.inputs.machines[5].thinner == quillmere.inputs.machines[5].thinner
    assert any("Shop heater keeps its own thinner" in note for note in whole.notes)


def test_a_share_of_one_has_no_oil_to_pay_and_is_refused() -> None:
    terms = oil_terms(farm(), 0, 0)

    for share in (1.0, 1.2, -0.1):
        with pytest.raises(ValueError, match="share must lie from 0"):
            kept_per_oil(terms, share, 1.0)


def test_farm_diesel_is_not_put_forward_for_a_road_machine() -> None:
    tied = replace(builders.thinner("diesel", price=0.2), tied_to="farm_diesel")
    truck = builders.machine(
        thinner=0, thinner_share=0.25, replaces="road_diesel", road_share=builders.number(0.5)
    )
    inputs = farm(machines=(truck,), thinners=(builders.thinner("gasoline"), tied))
    scope = next(s for s in compare(inputs).scopes if s.machine == 0)

    assert row(scope, "Diesel").set_aside is not None
    assert scope.best is not None
    assert scope.best.offer.name != "Diesel"


def test_an_unknown_machine_is_refused_with_the_names_there_are() -> None:
    scenario = load(QUILLMERE)

    with pytest.raises(ScenarioError, match='there are "Tillage tractor", "Hay tractor"'):
        thinners_document(scenario, "Tiller")
    assert machine_named(prepare(scenario), "Hay tractor", "farm") == 1


def kit_with(document: str, name: str) -> set[str]:
    scope = compare(prepare_whole(load(QUILLMERE.parent / document))).scopes[0]
    return {item.name for item in row(scope, name).inputs.kit}


def test_what_hangs_on_a_thinner_comes_and_goes_with_it() -> None:
    tank = "Steel blend tank with gasoline-rated metered pump"

    assert tank in kit_with("quillmere.toml", "Gasoline, farm tank")
    assert tank not in kit_with("quillmere.toml", "Bulk kerosene")
    # The smaller plan burns no gasoline: whoever would try it there must buy the tank.
    assert tank not in kit_with("quillmere-near-home.toml", "Dyed diesel")
    assert tank in kit_with("quillmere-near-home.toml", "Gasoline, farm tank")


# --- closed forms


def test_the_fee_without_extras_is_the_plain_formula() -> None:
    # Arithmetic: x / (1 - x) (p - P LHV_t / LHV_d), with nothing else in the way.
    tractor = builders.machine(thinner=0, use_factor=1.0)
    thin = builders.thinner("diesel", heating_value=32.0)
    inputs = farm(machines=(tractor,), thinners=(thin,), prices={"farm_diesel": np.asarray(1.2)})
    terms = oil_terms(inputs, 0, 0)
    x, price = np.asarray([0.1, 0.3, 0.6]), 1.1

    plain = x / (1.0 - x) * (price - 1.2 * 32.0 / DIESEL_HEATING_VALUE)

    assert entry_fee(terms, x, price) == pytest.approx(plain, rel=1e-12)


def test_the_closed_form_is_what_the_model_keeps_per_volume_of_oil() -> None:
    tractor = builders.machine(thinner=0, thinner_share=0.25)
    inputs = farm(machines=(tractor,), winter_months=builders.NO_MONTH)
    result = row(compare(inputs).scopes[0], "Gasoline").result
    assert result is not None

    by_formula = kept_per_oil(oil_terms(inputs, 0, 0), 0.25, inputs.thinners[0].price)

    assert float(result.kept_per_oil) == pytest.approx(float(by_formula), rel=1e-12)


def test_a_million_cells_of_price_and_share_take_well_under_a_second() -> None:
    terms = oil_terms(farm(), 0, 0)
    share = np.linspace(0.0, 0.95, 1000)[:, None]
    price = np.linspace(0.0, 3.0, 1000)[None, :]

    start = time.perf_counter()
    surface = kept_per_oil(terms, share, price)
    taken = time.perf_counter() - start

    assert surface.shape == (1000, 1000)
    assert np.isfinite(surface).all()
    assert taken < 0.5


# --- a gasoline blend is never warmed


def warmed(fahrenheit: float, kind: str = "gasoline") -> Scenario:
    """Return a farm whose fuel reaches a temperature."""
    document = {
        "scenario": {"title": "Warm", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": 4.0},
        "machines": [
            {"name": "Tractor", "engine": "inline pump", "model_year": 1980,
             "replaces": "farm_diesel", "fuel_per_year": 900, "blend_share": 1.0,
             "thinner": "Thin", "viscosity_limit": 12},
        ],
        "oils": [{"name": "Own", "kind": "engine oil", "own": True, "volume_per_month": 20}],
        "process": {"batch_volume": 55, "hours_per_batch": 2, "raw_storage": 200,
                    "clean_storage": 200, "energy_per_volume": 0},
        "blending": {"fuel_temperature": fahrenheit},
        "thinners": [{"name": "Thin", "kind": kind, "price": 3.0},
                     {"name": "Petrol", "kind": "gasoline E10", "price": 3.0}],
        "labour": {"wage": 20},
        "finance": {"years": 5, "discount_rate": 0.05},
    }  # fmt: skip
    return from_document(document, Path("warm.toml"))


def test_a_farm_that_warms_a_gasoline_blend_is_refused() -> None:
    assert warmed(104.0).blending.fuel_temperature == 104.0
    with pytest.raises(ScenarioError, match="never warmed; allowed: at most 104"):
        warmed(105.0)
    assert warmed(140.0, "kerosene").blending.fuel_temperature == 140.0


def test_gasoline_is_not_offered_where_the_fuel_is_warmed() -> None:
    gathered = thinners_document(warmed(140.0, "kerosene"))

    for scope in gathered["scopes"]:
        offered = next(row for row in scope["rows"] if row["thinner"] == "Petrol")
        assert "never warmed" in offered["refused"]
        assert offered["result"] is None
        assert scope["best"] != "Petrol"


def test_no_share_is_worked_out_for_a_warmed_gasoline_blend() -> None:
    scope = thinners_document(warmed(86.0), "Tractor")["scopes"][0]
    gathered = scope["by_fuel_temperature"]
    shares = dict(
        zip(gathered["fuel_temperatures"], gathered["thinner_shares"]["Thin"], strict=True)
    )

    assert gathered["never_warmed"] == ["Thin", "Petrol"]
    assert shares[86.0] is not None
    assert all(share is None for degrees, share in shares.items() if degrees > 86.0)
    assert all(share is not None for share in gathered["thinner_shares"]["Pump fuel (farm diesel)"])
