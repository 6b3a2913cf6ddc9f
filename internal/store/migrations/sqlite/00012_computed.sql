-- Answers that are dear to work out and the same for whoever asks. They hold
-- numbers and no one's texts; the oldest give way, by their ids.

-- +goose Up
CREATE TABLE computed (
	id    INTEGER PRIMARY KEY AUTOINCREMENT,
	key   TEXT NOT NULL UNIQUE,
	value TEXT NOT NULL
) STRICT;

PRAGMA user_version = 12;
