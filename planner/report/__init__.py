"""Words, pictures and pages."""
