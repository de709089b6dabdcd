-- $1, $2 person. Messages that still have to go out stay.
DELETE FROM outbox WHERE state <> 'ready' AND source = $1 AND person_id = $2
