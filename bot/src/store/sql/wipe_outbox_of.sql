-- $1, $2 person. Messages that still have to go out stay, and posts in rooms of challenges, by which they
-- can be taken down there; nothing in them is the person's own words.
DELETE FROM outbox
WHERE state <> 'ready' AND source = $1 AND person_id = $2
  AND NOT (purpose = 'coach' AND case_id IS NULL AND room_key LIKE 'room:%' AND platform_message_id IS NOT NULL)
