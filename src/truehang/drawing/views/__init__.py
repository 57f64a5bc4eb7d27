"""Which drawings does a job need? One module per view; each is a pure function to a scene."""
