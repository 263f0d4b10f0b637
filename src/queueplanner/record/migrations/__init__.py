"""The steps from schema to schema; run by Alembic, and only when an older record is opened."""
