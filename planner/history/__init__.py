"""The maker's tables: columns, limits and readers."""
