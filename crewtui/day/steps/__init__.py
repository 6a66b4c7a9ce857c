"""The rows of the day: what is asked, how a typed value is read and judged, what comes back."""
