// Removed as soon as io has a source of its own.
