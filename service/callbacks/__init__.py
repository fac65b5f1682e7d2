"""Callbacks: who may be called, what is sent, its signature, and one attempt to deliver it."""
