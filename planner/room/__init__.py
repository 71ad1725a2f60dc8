"""From outdoor air to the air of a room."""
