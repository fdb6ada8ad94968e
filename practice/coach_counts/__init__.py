"""What a coach counted."""
