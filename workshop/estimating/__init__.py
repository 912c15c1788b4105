"""What a job takes: hours as a distribution, and materials. Plain computation on values, without the database."""
