"""Files of ours on the disk: opened only where they are plain, written whole or not at all."""
