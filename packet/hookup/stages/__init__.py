"""The stages of a job as acts: what is done, in which order, in which words."""
