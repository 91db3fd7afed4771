"""Migrations of the store of jobs: each version made from the one before, nothing lost."""
