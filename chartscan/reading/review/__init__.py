"""Pictures of a reading for a person to judge."""
