"""What can be bought, and what rules and words hold where? Data with its models."""
