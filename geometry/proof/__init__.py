"""Proofs: independent measurements that share no code with what they check."""
