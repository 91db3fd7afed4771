"""What a user can ask, as plain functions over frozen values."""
