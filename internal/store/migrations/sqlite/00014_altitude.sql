-- A shop whose altitude nobody said was kept as one at the sea's: by the rows
-- the two can't be told apart, and nobody said is what answers took it for.

-- +goose Up
UPDATE shop_setting SET settings = json_set(settings, '$.altitude', NULL)
WHERE json_extract(settings, '$.altitude') = 0;

PRAGMA user_version = 14;
