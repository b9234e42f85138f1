"""Pictures of a job and its plan: the cabin from above, the finish gauge, and what the money does; all plain SVG."""
