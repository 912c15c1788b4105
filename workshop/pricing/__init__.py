"""What a job costs. Plain computation on values, without the database."""
