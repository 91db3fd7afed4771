"""The layout engine: a script of others in an embedded JavaScript engine, behind one method."""
