"""The bench: which kind of normal each pair has and should have, changing it on paper, the order for the hands, the proof."""
