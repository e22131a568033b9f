"""The forms of what stands on a school's shelf: one description for each column, in the school's units."""
