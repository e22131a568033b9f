"""What happens in a school, told to whoever keeps rows of their own beside its people: the school knows no listener.

Each is sent inside the transaction of what happens, so that all of it is written or nothing.
"""

from django.dispatch import Signal

# A school is made: `school`.
school_made = Signal()

# A teacher is about to change the time zone: `school`. A listener returns what lies ahead, as (name, instant).
zone_asked = Signal()

# A student is about to be removed: `student`, `by`. A listener says what it put away, as a dict that JSON can keep,
# or refuses with `school.students.Stays`.
student_leaves = Signal()

# A removed student is back: `student`, `by`, and `moved`, what the listeners said when the student left.
student_returns = Signal()

# A student is merged into another: `student`, `into`, `by`. A listener says what it moved, as above.
student_merged = Signal()

# A merge is undone: `student`, `into`, `by`, `moved`.
merge_undone = Signal()

# A student is forgotten: `student`, and `names`, all that they were called.
student_forgotten = Signal()

# The time zone has changed and the clock times are to stay: `school`, and `before`, the zone that was.
clock_kept = Signal()
