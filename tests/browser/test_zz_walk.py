from tests.browser.test_every_page import *
from casting.models import *
from django.utils import timezone
from casting.services.running.mishaps import Met, note_mishap
def test_zz(browsed, day, student, teacher, school):
    rows = with_little(day, student, teacher)
    for label, s in day.states().items():
        try: note_mishap(day, Met("leaked" if s=="invested" else "misrun", (label,), "metal"), by=teacher)
        except Exception as e: print(e)
    P=[p for p in places(("teacher","helper"), rows, school) if p[0] in ("pours","kiln_room","recast","recast_of_day")]
    shown, wrong = walk(browsed(teacher), P, True)
    print("SHOWN", shown)
    for k,v in wrong.items(): print("WRONG", k, [x for x in v if "nav.way" not in x])
