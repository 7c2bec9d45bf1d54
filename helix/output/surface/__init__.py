"""The wire's surface as meshes."""
