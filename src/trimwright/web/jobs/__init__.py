"""The one app: jobs, their revisions, plans and photos, and the pages about them."""
