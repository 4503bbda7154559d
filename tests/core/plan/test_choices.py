"""What the job decides over the recipe and the shelf."""

import pytest

from core.errors import PlanError
from core.job import Job
from core.library.records import Corner
from core.library.shelf import Shelf
from core.plan import choose

SHELF = Shelf()


def chosen(**job):
    return choose(Job(**job), SHELF).cutting


def test_the_depth_of_a_pass_is_the_jobs_where_the_recipe_steps_down():
    rough, skim = chosen(depth_times_diameter=0.5).recipe.steps
    assert rough.depth_times_diameter == 0.5
    assert skim.depth_times_diameter == 0.0


@pytest.mark.parametrize("deep", [-0.1, 5.1])
def test_a_depth_that_cannot_be_meant_is_refused(deep):
    with pytest.raises(PlanError, match="diameters deep"):
        chosen(depth_times_diameter=deep)


def test_mitred_corners_hold_for_every_step():
    assert {step.corner for step in chosen(mitred_corners=True).recipe.steps} == {Corner.MITRE}


def test_a_fresh_edge_has_cut_nothing_and_only_the_one_named_is_fresh():
    cutting = chosen(fresh_edges=("t1_rougher_6",))
    assert cutting.rough.metres_cut == 0.0
    assert cutting.finish.metres_cut == SHELF.mounted("t2_finisher_6").metres_cut > 0.0


def test_the_holder_of_the_job_goes_on_every_cutter():
    cutting = chosen(holder="collet_30k", hole_cutter="t3_small_3")
    assert {m.holder.key for m in (cutting.rough, cutting.finish, cutting.hole)} == {"collet_30k"}
