"""The web: a small Django project around the engine. It takes text in, asks, keeps documents, shows pages."""
