-- Altitudes that nobody said, as in SQLite.

-- +goose Up
UPDATE shop_setting SET settings = jsonb_set(settings::jsonb, '{altitude}', 'null'::jsonb)::text
WHERE settings::jsonb -> 'altitude' = '0'::jsonb;
