/**
 * The signs that a film can show, by id: what a reader sees, never why. `film.reviewed` and `films.tallied` speak of
 * films in these words; the causes behind them are the packs' business.
 */
export const signs = [
  // exposure
  'light_image',
  'dark_image',
  'clear_film',
  'black_film',
  'double_image',
  'blurred_image',
  'partial_image',
  'poor_contrast',
  // technique
  'elongated',
  'foreshortened',
  'overlapped_contacts',
  'cone_cut',
  'apices_missing',
  'crowns_missing',
  'region_missing',
  'tilted_occlusal_plane',
  'reversed_pattern',
  'distorted_image',
  'dark_crease_line',
  'foreign_object',
  'finger_image',
  'dot_over_apex',
  'holder_ring_image',
  'bw_anterior_missing',
  'bw_posterior_missing',
  'bw_unequal_arches',
  // processing
  'fogged',
  'yellow_brown_stain',
  'green_stain',
  'white_spots',
  'dark_spots',
  'reticulation',
  'white_straight_border',
  'black_straight_border',
  'overlap_patch',
  // handling
  'black_crescent',
  'light_crescent',
  'black_fingerprint',
  'static_marks',
  'scratch_white_lines',
  'fine_black_lines',
  'light_struck_area',
  // processing
  'streaks',
  'roller_marks',
  'emulsion_loss',
  'water_marks',
  'white_crystals',
  'fading_image',
  'lost_film',
  'dichroic_sheen',
  // handling
  'paper_stuck',
  // processing
  'reversal',
] as const;
