"""How is a job worked on in a browser? Pages over the store and the plan."""
