"""What the ear makes of a sonority: series, spectra, roughness, harmonicity, spacing."""
