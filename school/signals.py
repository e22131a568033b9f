"""What happens in a school, told to whoever keeps rows of their own beside its people: the school knows no listener."""

from django.dispatch import Signal

# A school is made: `school`. Sent inside the transaction that makes it.
school_made = Signal()
