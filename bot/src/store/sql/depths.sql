-- Counts unfinished and dead rows only, each over its own partial index.
SELECT
    (SELECT COUNT(*) FROM inbox WHERE state = 'waiting') AS inbox,
    (SELECT COUNT(*) FROM outbox WHERE state = 'ready') AS outbox,
    (SELECT COUNT(*) FROM outbox WHERE state = 'dead')
        + (SELECT COUNT(*) FROM inbox WHERE state = 'dead')
        + (SELECT COUNT(*) FROM follow_ups WHERE state = 'dead') AS dead,
    (SELECT COUNT(*) FROM queue) AS queue,
    (SELECT COUNT(*) FROM follow_ups WHERE state = 'open') AS follow_ups
