"""The fifth stage: when each thing is done, with a full bench while things cure."""
