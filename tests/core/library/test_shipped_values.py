"""What is shipped: every value has a source, makes sense, and is what its source prints."""

import math
import tomllib
from importlib import resources

import pytest
from ht.insulation import Cp_material, k_material, rho_material

from core.job.job import Job
from core.library.build import log_sd
from core.library.cautions import cautions
from core.library.check import check
from core.library.files import FOLDERS, shipped, sources
from core.library.plausible import PLAUSIBLE, implausible
from core.library.records import Basis, CutterForm, Helix
from core.library.shelf import Shelf

SHELF = Shelf()
MODELLED = ["acrylic_cast", "acrylic_extruded", "polycarbonate", "petg", "hdpe"]
NOT_MODELLED = ["polypropylene", "pvc_u", "abs", "acetal"]
EVERY = [(kind, key) for kind in FOLDERS for key in shipped(kind)]


def tables(value):
    if isinstance(value, dict):
        yield value
        for item in value.values():
            yield from tables(item)
    if isinstance(value, list):
        for item in value:
            yield from tables(item)


def every_source_named():
    for kind, key in EVERY:
        for table in tables(shipped(kind)[key].table()):
            if "source" in table:
                yield table["source"]
    for caution in cautions():
        yield from caution.sources


def test_nothing_on_the_shipped_shelf_is_wrong():
    assert check(SHELF) == ()


@pytest.mark.parametrize(("kind", "key"), EVERY)
def test_every_shipped_entry_becomes_a_record_with_its_key(kind, key):
    assert SHELF.record(kind, key).key == key


def test_every_source_that_is_named_stands_in_the_list_and_no_other():
    assert set(every_source_named()) == set(sources())


def test_every_value_of_a_material_says_where_it_comes_from():
    for key, _ in SHELF.names("material"):
        material = SHELF.material(key)
        assert len(material.sources) >= 10
        for sourced in material.sources.values():
            assert sourced.source
            assert sourced.basis in Basis


def test_what_was_only_remembered_is_never_called_measured_or_a_standard():
    for kind, key in EVERY:
        for sourced in getattr(SHELF.record(kind, key), "sources", {}).values():
            if "from memory" in sourced.source:
                assert sourced.basis is Basis.ESTIMATE


def test_the_default_job_finds_everything_it_names():
    job = Job()
    assert SHELF.material(job.material).heat is not None
    assert SHELF.mounted(job.rough_cutter).tool_number == 1
    assert SHELF.mounted(job.finish_cutter).finish_only
    assert SHELF.machine(job.machine).acceleration_mm_s2 == 1000.0
    assert SHELF.recipe(job.recipe).steps[0].wall_stock_mm == 0.5
    assert SHELF.sheet(job.sheet).size_mm == (2050.0, 1250.0)
    assert SHELF.rates(job.rates).headroom_share == 0.75


# EN 12524:2000 as in the table of `ht` (exact keys: its nearest match for "PMMA" is ash wood).
EN_12524 = [
    ("acrylic_extruded", "Plastics, polymethylmethacrylate (PMMA)", "thermal_conductivity_w_mk"),
    ("polycarbonate", "Plastics, polycarbonates", "density_kg_m3"),
    ("polycarbonate", "Plastics, polycarbonates", "thermal_conductivity_w_mk"),
    ("polypropylene", "Plastics, polypropylene", "density_kg_m3"),
    ("pvc_u", "Plastics, Polyvinylchloride (PVC)", "specific_heat_j_kgk"),
    ("acetal", "Plastics, polyacetate", "thermal_conductivity_w_mk"),
]


@pytest.mark.parametrize(("key", "row", "field"), EN_12524)
def test_a_value_of_en_12524_is_the_one_in_its_table(key, row, field):
    read = {
        "thermal_conductivity_w_mk": k_material,
        "density_kg_m3": rho_material,
        "specific_heat_j_kgk": Cp_material,
    }
    assert "EN 12524" in SHELF.material(key).sources[field].source
    assert getattr(SHELF.material(key), field) == read[field](row)


def test_the_heat_capacity_of_acrylic_is_the_mean_of_the_published_correlation():
    # NIST WebBook correlation cp = 1108.8 + 5.816 t, mean from 20 to 100 °C, within 1 %.
    mean = 1108.8 + 5.816 * 60.0
    assert SHELF.material("acrylic_cast").specific_heat_j_kgk == pytest.approx(mean, rel=0.01)


# (K_tc nominal, 5 %, 95 %, log-sd), the same of K_te, and the basis of K_tc. Polycarbonate: fits of
# C. Sharma's milling data (MIT 2020) times 0.9. HDPE: Yang and others 2022 and Sharma's UHMW-PE.
# Acrylic: bounds, not measured. PETG: scaled by yield, lowered to known good practice.
COEFFICIENTS = [
    ("polycarbonate", (160, 115, 215, 0.18), (3.4, 2.2, 5.0, 0.25), Basis.MEASURED),
    ("hdpe", (55, 35, 90, 0.28), (1.7, 1.2, 4.0, 0.37), Basis.SCALED),
    ("acrylic_cast", (110, 65, 180, 0.30), (2.0, 1.2, 3.5, 0.32), Basis.ESTIMATE),
    ("acrylic_extruded", (110, 65, 180, 0.30), (2.0, 1.2, 3.5, 0.32), Basis.ESTIMATE),
    ("petg", (90, 60, 135, 0.25), (2.0, 1.2, 3.5, 0.32), Basis.SCALED),
]


@pytest.mark.parametrize(("key", "cutting", "edge", "basis"), COEFFICIENTS)
def test_force_coefficients_are_the_measured_or_bounded_ones(key, cutting, edge, basis):
    material = SHELF.material(key)
    heat = material.heat
    force = material.sources["specific_cutting_force_n_mm2"]
    at_edge = material.sources["edge_force_n_mm"]
    assert (heat.specific_cutting_force_n_mm2, force.low, force.high) == cutting[:3]
    assert (heat.edge_force_n_mm, at_edge.low, at_edge.high) == edge[:3]
    assert heat.specific_cutting_force_log_sd == pytest.approx(cutting[3], abs=0.015)
    assert heat.edge_force_log_sd == pytest.approx(edge[3], abs=0.015)
    assert force.basis is basis


def test_the_log_sd_of_a_band_puts_its_ends_at_5_and_95_percent():
    spread = log_sd(50.0, 200.0)
    assert 100.0 * math.exp(1.6449 * spread) == pytest.approx(200.0, rel=1e-4)


# Glass transition from the sources in the files, plus 15 K for a contact of 10 ms (WLF, derived).
@pytest.mark.parametrize(
    ("key", "transition"), [("acrylic_cast", 105), ("polycarbonate", 147), ("petg", 81)]
)
def test_an_amorphous_chip_welds_15_k_above_the_glass_transition(key, transition):
    heat = SHELF.material(key).heat
    assert heat.chip_softening_temperature_c == transition + 15.0


@pytest.mark.parametrize("key", MODELLED)
def test_fracture_is_a_part_of_the_edge_force(key):
    heat = SHELF.material(key).heat
    assert 0.0 < heat.fracture_energy_n_mm < heat.edge_force_n_mm


@pytest.mark.parametrize("key", NOT_MODELLED)
def test_a_material_without_coefficients_is_not_modelled(key):
    assert SHELF.material(key).heat is None


# ISO 7823-1, +-(0.4 + 0.1 t), as quoted by a sheet producer; the standard itself not read.
@pytest.mark.parametrize(
    ("thickness", "tolerance"),
    [(3, 0.7), (5, 0.9), (6, 1.0), (8, 1.2), (10, 1.4), (12, 1.6), (15, 1.9), (20, 2.4)],
)
def test_cast_acrylic_has_the_tolerance_of_iso_7823_1(thickness, tolerance):
    assert SHELF.material("acrylic_cast").tolerance_mm(thickness) == pytest.approx(tolerance)


# ISO 7823-2, 10 % below 3 mm and 5 % from there, as quoted by a sheet producer.
@pytest.mark.parametrize(("thickness", "tolerance"), [(2, 0.2), (2.9, 0.29), (3, 0.15), (10, 0.5)])
def test_extruded_acrylic_has_the_tolerance_of_iso_7823_2(thickness, tolerance):
    assert SHELF.material("acrylic_extruded").tolerance_mm(thickness) == pytest.approx(tolerance)


def test_acrylic_is_brittle_and_nothing_else_is():
    brittle = [key for key, _ in SHELF.names("material") if SHELF.material(key).brittle]
    assert sorted(brittle) == ["acrylic_cast", "acrylic_extruded"]


def test_the_quarter_inch_card_shows_common_practice_and_the_published_range_beside_it():
    load = SHELF.cutter("o_flute_quarter_inch").chip_loads[0]
    assert load.material == "acrylic_cast"
    assert (load.low_mm, load.high_mm) == pytest.approx((0.012 * 25.4, 0.014 * 25.4))
    assert "common practice, no source" in load.source
    assert load.others[0].startswith("0.008 to 0.01 in")


MILLS = [k for k, _ in SHELF.names("cutter") if SHELF.cutter(k).form is CutterForm.END_MILL]
CARDS = [key for key in MILLS if key != "o_flute_quarter_inch"]


@pytest.mark.parametrize("key", CARDS)
def test_a_metric_card_stays_inside_the_published_spread(key):
    # Feed per tooth 0.02 to 0.04 of the diameter (to 6 mm), floor 0.05 mm: derived from charts.
    cutter = SHELF.cutter(key)
    for load in cutter.chip_loads:
        assert 0.05 <= load.low_mm < load.high_mm
        assert 0.0165 * cutter.diameter_mm <= load.low_mm
        assert load.high_mm <= 0.0417 * cutter.diameter_mm


@pytest.mark.parametrize("key", [key for key, _ in SHELF.names("cutter")])
def test_every_cutter_has_a_chip_load_for_every_material(key):
    named = {load.material for load in SHELF.cutter(key).chip_loads}
    assert named == {material for material, _ in SHELF.names("material")}


DRILLS = [k for k, _ in SHELF.names("cutter") if SHELF.cutter(k).form is CutterForm.DRILL]


@pytest.mark.parametrize("key", DRILLS)
def test_a_drill_is_fed_and_pointed_as_is_printed_for_plastics(key):
    # Feed a turn 0.05 to 0.13 mm: Mechanical Engineer's Data Handbook, section 5.7.5. Point 60 to
    # 90 degrees: from memory.
    drill = SHELF.cutter(key)
    for load in drill.chip_loads:
        assert load.low_mm * drill.tooth_count == pytest.approx(0.05)
        assert load.high_mm * drill.tooth_count == pytest.approx(0.13)
    assert 60.0 <= drill.tip_angle_deg <= 90.0
    assert 90.0 <= drill.highest_cutting_speed_m_min <= 300.0


def test_the_shop_drills_for_common_screws():
    assert sorted(SHELF.cutter(key).diameter_mm for key in DRILLS) == [4.0, 5.0, 5.5, 6.6, 8.0]


@pytest.mark.parametrize(
    ("key", "length_mm"), [("plastic_drill_8", 4.0), ("plastic_drill_5", 4.330127), ("v_90", 5.9)]
)
def test_a_point_is_as_long_as_its_angle_makes_it(key, length_mm):
    # Plane geometry: (D - flat) / 2 / tan(angle / 2).
    assert SHELF.cutter(key).tip_length_mm == pytest.approx(length_mm, abs=1e-6)


def test_the_cutters_of_the_shop_are_there():
    single = {c.diameter_mm for key in CARDS if (c := SHELF.cutter(key)).helix is Helix.UPSHEAR}
    assert {3.0, 4.0, 5.0, 6.0, 8.0} <= single
    assert SHELF.cutter("o_flute_quarter_inch").diameter_mm == pytest.approx(6.35)
    assert SHELF.cutter("two_edge_6").tooth_count == 2
    assert SHELF.cutter("downshear_6").helix is Helix.DOWNSHEAR


@pytest.mark.parametrize("key", [key for key, _ in SHELF.names("mounted")])
def test_a_mounted_cutter_shows_its_whole_cutting_length(key):
    mounted = SHELF.mounted(key)
    assert mounted.stick_out_mm > mounted.cutter.flute_length_mm


def test_tool_numbers_are_given_once():
    numbers = [SHELF.mounted(key).tool_number for key, _ in SHELF.names("mounted")]
    assert len(set(numbers)) == len(numbers)


def test_holders_are_balanced_for_24_000_and_30_000_rpm():
    speeds = {SHELF.holder(key).balanced_speed_rpm for key, _ in SHELF.names("holder")}
    assert speeds == {24_000.0, 30_000.0}


@pytest.mark.parametrize("key", ["light_gantry", "heavy_gantry"])
def test_a_machine_cuts_deep_enough_to_sever_over_an_uneven_bed(key):
    # Overcut >= bed flatness + depth error + 0.05 mm: the skin rule, derived.
    machine = SHELF.machine(key)
    assert machine.overcut_mm >= machine.bed_flatness_mm + machine.depth_error_mm + 0.05 - 1e-12


def test_the_two_machines_differ_in_acceleration_as_the_check_values_need():
    assert SHELF.machine("light_gantry").acceleration_mm_s2 == 1000.0
    assert SHELF.machine("heavy_gantry").acceleration_mm_s2 == 3000.0


def test_the_recipe_roughs_climb_and_skims_conventional_round_mitred_corners():
    rough, skim = SHELF.recipe("rough_and_skim").steps
    assert (rough.direction, rough.wall_stock_mm, rough.floor_stock_mm) == ("climb", 0.5, 0.5)
    assert (skim.direction, skim.corner) == ("conventional", "mitre")
    assert (skim.wall_stock_mm, skim.floor_stock_mm) == (0.0, 0.0)


@pytest.mark.parametrize("field", sorted(PLAUSIBLE))
def test_a_range_that_makes_sense_is_a_range_and_refuses_what_lies_beyond(field):
    low, high = PLAUSIBLE[field]
    assert low < high
    assert implausible(field, low) is None
    assert "the range that makes sense" in implausible(field, high + 0.001 * (high - low))
    assert "the range that makes sense" in implausible(field, math.nan)


def test_every_shipped_file_is_toml_in_a_known_folder():
    root = resources.files("resources")
    folders = {item.name for item in root.iterdir() if item.is_dir() and item.name[0] not in "._"}
    assert set(FOLDERS.values()) <= folders
    for kind, folder in FOLDERS.items():
        assert {path.name for path in (root / folder).iterdir()} == {
            f"{key}.toml" for key in shipped(kind)
        }
    assert tomllib.loads((root / "sources.toml").read_text("utf-8"))
