"""A plan in which a student brought the metal of one flask, its alloy, and names for its waxes."""

from casting.models import Wax
from school.models import Student
from tests.casting_factories import handed_in
from tests.days.written_plans import THREE, band_row, day_with, flask, plan_with


def plan_of_two_owners():
    """Flasks A and C are the school's sterling, B the sterling that student-B1 brought; C and B pour after A."""
    flasks, waxes = [], []
    for nth, label in enumerate("ABC"):
        owner = "student-B1" if label == "B" else "school"
        keys = [f"{label}{i}" for i in (1, 2, 3)]
        waxes += [
            band_row(key, student="student-B1" if label == "B" else f"student-{key}", owner=owner) for key in keys
        ]
        placed = [(key, *place) for key, place in zip(keys, THREE, strict=True)]
        flasks.append(flask(label, placed, nth) | {"owner": owner})
    return plan_with(flasks), day_with(waxes)


def two_kilns():
    """The same plan with flask C in a second kiln, which goes on with the first."""
    plan, day_file = plan_of_two_owners()
    day_file["kilns"] = [*day_file["kilns"], day_file["kilns"][0] | {"key": "k2"}]
    plan["firings"] = [*plan["firings"], plan["firings"][0] | {"kiln": "k2", "flasks": ["C"]}]
    next(one for one in plan["flasks"] if one["label"] == "C")["kiln"] = "k2"
    return plan, day_file


def called(plan, tag, name, what="plain band"):
    """A wax of the plan gets a student of that name."""
    row = handed_in(plan.day, what=what)
    Student.objects.filter(pk=row.student_id).update(called=name)
    Wax.objects.filter(pk=row.pk).update(tag=tag)


def one_alloy(changes):
    """An alloy as a day file has it."""
    bands = {section: [500, 540] for section in ("very_thin", "thin", "medium", "heavy")}
    return {
        "specific_gravity": 8.5,
        "solidus_c": 920,
        "liquidus_c": 990,
        "pour_c": 1080,
        "flask_c": bands,
        "quench_min_by_diameter": [[64, 10]],
    } | changes
