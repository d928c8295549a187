-- A day of an invented foot clinic.
INSERT INTO load VALUES
 ('2026-0309-7', '7', '2026-03-09', 'C. Dorn', 'S1', 'wrapped 134', '2026-03-09T09:00:00+01:00', '2026-03-09T09:36:20+01:00', 0,
  '242 s', '134.3 Cel', '135.4 Cel', '312 kPa', '20 min', '2026-03-06T12:00:00+01:00',
  '2026-03-09T07:30:00+01:00', 1, '2026-03-09T07:45:00+01:00', 1, 'distilled', '2026-03-09T09:41:20+01:00', 'C. Dorn', 1, 1,
  'E-31', 'reached', 'I-12', 'reached', 1, 'sealer', '2026-03-09T09:55:20+01:00', 'C. Dorn', 1),
 ('2026-0309-8', '8', '2026-03-09', 'C. Dorn', 'S1', 'wrapped 134', '2026-03-09T11:00:00+01:00', '2026-03-09T11:36:10+01:00', 0,
  '241 s', '134.2 Cel', '135.5 Cel', '312 kPa', '20 min', '2026-03-06T12:00:00+01:00',
  '2026-03-09T07:30:00+01:00', 1, '2026-03-09T07:45:00+01:00', 1, 'distilled', '2026-03-09T11:41:00+01:00', 'C. Dorn', NULL, 1,
  'E-31', 'reached', 'I-12', 'reached', 1, 'sealer', NULL, NULL, NULL);
INSERT INTO pack VALUES
 ('2026-0309-7', 'P1', 'small pouch', 'nail set', NULL), ('2026-0309-7', 'P2', 'small pouch', 'nail set', NULL),
 ('2026-0309-8', 'P3', 'small pouch', 'nail set', NULL);
INSERT INTO event VALUES
 ('{"format": "moistheat.event/1", "id": "e-1", "sterilizer": "S1", "kind": "leak", "time": "2026-03-09T07:45:00+01:00", "passed": true}');
