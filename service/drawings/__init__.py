"""Plans made visible, in every format of `formats`: today the top view as a drawing to scale and in characters."""
