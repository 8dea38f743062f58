"""A reading opened again, without searching: pages straightened, and what cells look like."""
