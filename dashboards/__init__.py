"""Every way of showing results; none of it computes money."""
