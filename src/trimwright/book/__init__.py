"""The shop book: what one shop knows of its own, in a second document beside the job, and what follows from it."""
