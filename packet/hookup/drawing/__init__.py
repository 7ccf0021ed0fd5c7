"""The drawing of a hookup: computed geometry here, ink in templates/hookup.svg."""
