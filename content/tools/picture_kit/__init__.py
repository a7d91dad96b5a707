"""A small kit that models and renders a workshop and the aircraft parts made in it."""
