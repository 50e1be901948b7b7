"""What a theme can become: transformed, in canon, combined."""
