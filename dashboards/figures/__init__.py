"""Charts: each a pure function from plain numbers to a plotly figure; none computes money."""
