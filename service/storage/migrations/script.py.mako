"""${message}.

Revision: ${up_revision}, after ${down_revision}.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}


def upgrade() -> None:
    """Apply."""
    ${upgrades if upgrades else "pass"}
