"""What past casting days left in the rows."""
