-- The address of each shop's board. Whoever holds the address may look, so it
-- is told once and only its hash is kept.

-- +goose Up
CREATE TABLE board (
	shop    INTEGER PRIMARY KEY REFERENCES shop (id) ON DELETE CASCADE,
	hash    TEXT    NOT NULL UNIQUE,
	made_by INTEGER REFERENCES member (id) ON DELETE SET NULL,
	made_at INTEGER NOT NULL
) STRICT;
CREATE INDEX board_maker ON board (made_by);

PRAGMA user_version = 8;
