"""Paper and terminal; computes nothing."""
