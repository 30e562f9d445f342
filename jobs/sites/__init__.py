"""Jobs, their anchors and the hazards round their stems."""
