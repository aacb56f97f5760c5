"""Other people's workbooks: reading them, and writing beside what they hold."""
