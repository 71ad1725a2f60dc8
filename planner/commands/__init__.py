"""What each verb does, without a terminal."""
