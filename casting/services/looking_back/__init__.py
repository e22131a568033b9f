"""What came of a casting day: defects, and what the school's own days teach."""
