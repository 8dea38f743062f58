"""Several pages made into one chart."""
