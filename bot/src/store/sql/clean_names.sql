-- Names of events whose content is gone: kept for as long as a sender may repeat them.
DELETE FROM inbox WHERE seq IN (
    SELECT seq FROM inbox WHERE state <> 'waiting' AND finished_at < $1 AND body = '{}' LIMIT $2
)
