"""The ground: lines and edges in it, how close steel comes to them, the pit, its soil, the wedges."""
