-- The figures that materials are searched by, beside the name and the family.
-- Triggers take them from the profile that counts, however it comes to count,
-- so that they can't differ from it and a search reads no profile.

-- +goose Up
ALTER TABLE material ADD COLUMN pot_life REAL;    -- s
ALTER TABLE material ADD COLUMN demold REAL;      -- s
ALTER TABLE material ADD COLUMN shore REAL;
ALTER TABLE material ADD COLUMN shore_scale TEXT; -- A, D or 00
ALTER TABLE material ADD COLUMN cost REAL;        -- of a kilogram, in the shop's currency
ALTER TABLE material ADD COLUMN cured_color TEXT; -- in capitals

-- The cost is that of the batches a pack makes: what must be left of one part
-- of a pack that is split unevenly is paid for too.
CREATE VIEW material_figures AS
WITH said AS (
	SELECT owner, record, number, profile,
		profile ->> '$.price' AS price,
		profile ->> '$.pack' AS pack,
		coalesce(profile ->> '$.pack_a', (profile ->> '$.pack') - (profile ->> '$.pack_b')) AS pack_a,
		coalesce(profile ->> '$.pack_b', (profile ->> '$.pack') - (profile ->> '$.pack_a')) AS pack_b,
		CASE profile ->> '$.ratio.By' WHEN 2 THEN 1.0 WHEN 1 THEN profile ->> '$.density_a' END * (profile ->> '$.ratio.A') AS part_a,
		CASE profile ->> '$.ratio.By' WHEN 2 THEN 1.0 WHEN 1 THEN profile ->> '$.density_b' END * (profile ->> '$.ratio.B') AS part_b
	FROM material_version
)
SELECT owner, record, number,
	profile ->> '$.pot_life' AS pot_life,
	profile ->> '$.demold' AS demold,
	profile ->> '$.hardness.shore' AS shore,
	profile ->> '$.hardness.scale' AS shore_scale,
	1000.0 * price / coalesce(min(pack_a / part_a, pack_b / part_b) * (part_a + part_b), pack) AS cost,
	upper(profile ->> '$.cured_color') AS cured_color
FROM said;

UPDATE material SET (pot_life, demold, shore, shore_scale, cost, cured_color) =
	(SELECT f.pot_life, f.demold, f.shore, f.shore_scale, f.cost, f.cured_color
	FROM material_figures f WHERE f.owner = material.owner AND f.record = material.id AND f.number = material.version);

-- +goose StatementBegin
CREATE TRIGGER material_version_added AFTER INSERT ON material_version BEGIN
	UPDATE material SET (pot_life, demold, shore, shore_scale, cost, cured_color) =
		(SELECT f.pot_life, f.demold, f.shore, f.shore_scale, f.cost, f.cured_color
		FROM material_figures f WHERE f.owner = NEW.owner AND f.record = NEW.record AND f.number = NEW.number)
	WHERE id = NEW.record AND version = NEW.number;
END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER material_version_chosen AFTER UPDATE OF version, owner ON material BEGIN
	UPDATE material SET (pot_life, demold, shore, shore_scale, cost, cured_color) =
		(SELECT f.pot_life, f.demold, f.shore, f.shore_scale, f.cost, f.cured_color
		FROM material_figures f WHERE f.owner = NEW.owner AND f.record = NEW.id AND f.number = NEW.version)
	WHERE id = NEW.id;
END;
-- +goose StatementEnd

PRAGMA user_version = 11;
