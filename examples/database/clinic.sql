-- What a clinic keeps. NULL is what is not recorded, and never a no. Times carry their offset;
-- quantities are text with the unit, so that no digit is lost. A row of loads is one log line.
CREATE TABLE catalogue (kept TIMESTAMP, doc TEXT);
CREATE TABLE event (doc TEXT);
CREATE TABLE report (load TEXT, made TIMESTAMP, doc TEXT);
CREATE TABLE saved (made TIMESTAMP, traces BLOB);  -- what history.Load goes on with
CREATE TABLE pack (load TEXT, id TEXT, type TEXT, contents TEXT, air_pressed_out BOOLEAN);
CREATE TABLE load (
  id TEXT PRIMARY KEY, number TEXT, day TEXT, packer TEXT, sterilizer TEXT, program TEXT,
  started TIMESTAMP, ended TIMESTAMP, aborted BOOLEAN,
  hold TEXT, coldest TEXT, hottest TEXT, pressure TEXT, drying TEXT,             -- as printed
  spores TIMESTAMP, air TIMESTAMP, air_passed BOOLEAN, leak TIMESTAMP, leak_passed BOOLEAN,
  supply TEXT, opened TIMESTAMP, seen_by TEXT, dry BOOLEAN, intact BOOLEAN,      -- all packs
  outside_lot TEXT, outside TEXT, inside_lot TEXT, inside TEXT, seal_intact BOOLEAN, sealer TEXT,
  decided TIMESTAMP, decided_by TEXT, release BOOLEAN);
