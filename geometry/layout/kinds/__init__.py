"""Several kinds on the same loads."""
