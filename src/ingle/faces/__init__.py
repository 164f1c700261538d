"""Faces: command line and paper. Words and drawings only, no arithmetic."""
