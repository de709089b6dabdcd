-- $6 now. The highest version stays, and taken back stays taken back.
INSERT INTO message_marks (source, room_id, message_id, version, deleted, marked_at)
VALUES ($1, $2, $3, $4, $5, $6)
ON CONFLICT (source, room_id, message_id) DO UPDATE SET
    version = CASE WHEN excluded.version > message_marks.version THEN excluded.version ELSE message_marks.version END,
    deleted = message_marks.deleted OR excluded.deleted,
    marked_at = excluded.marked_at
