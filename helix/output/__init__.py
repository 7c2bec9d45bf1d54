"""What people and other programs get: tables, records, meshes, drawings and pictures."""
