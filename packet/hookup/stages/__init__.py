"""What is done, group by group: lines of acts, in words and in effects."""
